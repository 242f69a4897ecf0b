package mesh

import (
	_ "github.com/alecthomas/kong"
	_ "github.com/fogleman/fauxgl"
	_ "github.com/goccy/go-yaml"
	_ "github.com/google/renameio/v2"
	_ "github.com/hschendel/stl"
	_ "github.com/rogpeppe/go-internal/testscript"
	_ "github.com/santhosh-tekuri/jsonschema/v6"
	_ "github.com/stretchr/testify/require"
	_ "golang.org/x/image/font/gofont/goregular"
	_ "golang.org/x/image/font/opentype"
	_ "golang.org/x/sync/errgroup"
	_ "golang.org/x/term"
	_ "gonum.org/v1/gonum/mat"
	_ "pgregory.net/rapid"
)
