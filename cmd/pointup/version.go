package main

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"runtime/debug"

	"pointup/pipeline/result"
)

// stamp is set at build time: go build -ldflags "-X main.stamp=v1.2".
var stamp = ""

// version is the stamp, else the revision that the build came from, else "dev".
func version() string {
	if stamp != "" {
		return stamp
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "dev"
	}
	revision, dirty := "", ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision" && len(s.Value) >= 12:
			revision = s.Value[:12]
		case s.Key == "vcs.modified" && s.Value == "true":
			dirty = "+"
		}
	}
	if revision == "" {
		return "dev"
	}
	return revision + dirty
}

// build tells this program from any other: the version and the sha256 of its
// file, since what is built from a changed tree has no version of its own.
func build() string {
	path, err := os.Executable()
	if err != nil {
		return version()
	}
	f, err := os.Open(path)
	if err != nil {
		return version()
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return version()
	}
	return version() + " " + hex.EncodeToString(h.Sum(nil))
}

type versionCommand struct{}

func (versionCommand) Run(s *session) error {
	_, err := fmt.Fprintln(s.stdout, "pointup", version())
	return err
}

type schemaCommand struct{}

func (schemaCommand) Run(s *session) error {
	_, err := s.stdout.Write(result.Schema())
	return err
}
