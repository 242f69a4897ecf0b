package result

import (
	_ "embed"
	"slices"
)

//go:embed schema.json
var schema []byte

// Schema returns the JSON Schema (2020-12) of result.json: strict on the keys that
// are listed, open to further keys at the top and to further dimensions.
func Schema() []byte { return slices.Clone(schema) }
