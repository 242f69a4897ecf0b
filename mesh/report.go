package mesh

import "gonum.org/v1/gonum/spatial/r3"

// Report is what checking found out about a scan. Lengths are mm in SCAN, the
// file's coordinates times its unit.
//
// Shells, openings, bounds and noise leave dust out; triangles, vertices and
// edges of three facets or more do not.
type Report struct {
	File        string
	SHA256      string
	Unit        string // mm, cm, m, in or ft
	UnitGuessed bool

	Triangles        int // in the file, dropped ones included
	Vertices         int // after welding
	Shells           int
	DustShells       int
	BoundaryLoops    int
	NonmanifoldEdges int
	Watertight       bool // no opening and no edge of three facets or more

	MinMM        r3.Vec
	MaxMM        r3.Vec
	EdgeMedianMM float64
	Noise        Noise
	NoiseMM      float64 // Noise.SigmaMM
	NoiseLongMM  float64 // Noise.LongMM

	DegenerateFacets int // two equal vertices or no area; not in the mesh
	DuplicateFacets  int // second copies; not in the mesh
	RewoundFacets    int // turned to agree with their shell
	WeldedVertices   int // merged within the tolerance, beyond equal coordinates
	DustFacets       int

	Loops    []Loop // openings of shells, the widest first
	Findings []Finding
}

// CheckOptions are the settings of [Check].
type CheckOptions struct {
	Unit      string // mm, cm, m, in or ft; empty: guessed from the size
	Up        string // +z -z +x -x +y -y: names the side of an opening; empty: not known
	LoopsMost int    // openings listed one by one
}

// DefaultOptions returns the settings for a scan whose unit is not known.
func DefaultOptions() CheckOptions { return CheckOptions{Up: "+z", LoopsMost: 20} }
