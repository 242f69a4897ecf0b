// Package synthetic makes scans of pieces whose dimensions are known: shapes
// meshed with every vertex on the ideal surface, placed, then disturbed as
// metal and scanners disturb them. It feeds the demo and every fitting test.
//
// A [Scene] is a list of pieces, each a [Shape] with a [Pose] and a [Form];
// [Scan] meshes them, disturbs them as [Options] ask and returns the facets
// with their truth. [Stream] writes scenes too large to hold.
//
// The same scene, options and build give the same bytes on any number of
// cores: each piece and each disturbance has a random stream of its own.
package synthetic

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Scene is what stands in front of the scanner.
type Scene struct {
	Name   string
	Pieces []Piece
}

// Piece is one element of a scene, a closed shell of its own.
type Piece struct {
	Name  string
	Shape Shape
	Pose  Pose
	Form  Form
}

// Shape is an ideal solid in its own frame: axis z, origin and reference
// direction x as the element frame of its kind has them, but for a plate,
// which keeps the frame its outline is drawn in.
type Shape interface {
	plan(edgeMM float64) (plan, error)
	truth() Truth
}

// plan is a shape about to be meshed: how many facets it will have, and the
// work that makes them.
type plan struct {
	facets int
	build  func() Shell
}

// Shell is a closed, outward-wound triangle mesh.
//
// Shapes: V points in mm; F faces, indices into Points; Patch has one number a
// face, the smooth surface it lies on, counted from 0 within the shell.
type Shell struct {
	Points []r3.Vec
	Faces  [][3]uint32
	Patch  []int32
}

// facetsMax bounds the facets of one shell: indices stay well inside uint32 and
// a shell inside some 4 GB.
const facetsMax = 1 << 26

// Mesh returns the ideal shell of s in its own frame, in facets of about the
// given edge length, mm. Every vertex lies on the ideal surface to the rounding
// of float64.
func Mesh(s Shape, edgeMM float64) (Shell, error) {
	p, err := planOf(s, edgeMM)
	if err != nil {
		return Shell{}, err
	}
	return p.build(), nil
}

func planOf(s Shape, edgeMM float64) (plan, error) {
	if s == nil {
		return plan{}, errors.New("piece has no shape; give it one")
	}
	if err := positive("facets", "edge length", edgeMM); err != nil {
		return plan{}, err
	}
	return s.plan(edgeMM)
}

// VolumeMM3 returns the volume that the shell encloses, positive when wound
// outward.
func (s Shell) VolumeMM3() float64 {
	var six float64
	for _, f := range s.Faces {
		six += r3.Dot(s.Points[f[0]], r3.Cross(s.Points[f[1]], s.Points[f[2]]))
	}
	return six / 6
}

// AreaMM2 returns the area of the shell's facets.
func (s Shell) AreaMM2() float64 {
	var sum float64
	for f := range s.Faces {
		sum += r3.Norm(s.areaVector(f))
	}
	return sum
}

// areaVector returns the normal of face f, its length the face's area.
func (s Shell) areaVector(f int) r3.Vec {
	t := s.Faces[f]
	a := s.Points[t[0]]
	return r3.Scale(0.5, r3.Cross(r3.Sub(s.Points[t[1]], a), r3.Sub(s.Points[t[2]], a)))
}

// Normals returns one outward unit normal a vertex, weighted by facet area; the
// zero vector where no facet has an area.
func (s Shell) Normals() []r3.Vec {
	n := make([]r3.Vec, len(s.Points))
	for f, t := range s.Faces {
		a := s.areaVector(f)
		for _, v := range t {
			n[v] = r3.Add(n[v], a)
		}
	}
	for v := range n {
		if l := r3.Norm(n[v]); l > 0 {
			n[v] = r3.Scale(1/l, n[v])
		}
	}
	return n
}

// outward turns every facet of a shell that was wound inward.
func (s Shell) outward() Shell {
	if s.VolumeMM3() >= 0 {
		return s
	}
	for i, f := range s.Faces {
		s.Faces[i] = [3]uint32{f[0], f[2], f[1]}
	}
	return s
}

// positive refuses a size that no shape can have. The upper bound keeps
// products of three sizes finite and far from float32's limit.
func positive(shape, what string, mm float64) error {
	if mm >= 1e-3 && mm <= 1e6 {
		return nil
	}
	return fmt.Errorf("%s: %s is %g mm; give one from 0.001 to 1000000 mm", shape, what, mm)
}

// under refuses a size that must be smaller than another.
func under(shape, small string, smallMM float64, large string, largeMM float64) error {
	if smallMM < largeMM {
		return nil
	}
	return fmt.Errorf("%s: %s, %g mm, is not under %s, %g mm; change one of them", shape, small, smallMM, large, largeMM)
}

// within refuses an angle outside [lo, hi], degrees.
func within(shape, what string, deg, lo, hi float64) error {
	if deg >= lo && deg <= hi {
		return nil
	}
	return fmt.Errorf("%s: %s is %g degrees; give one from %g to %g", shape, what, deg, lo, hi)
}

func rad(deg float64) float64 { return deg * math.Pi / 180 }
func deg(rad float64) float64 { return rad * 180 / math.Pi }

// steps returns how many facets of about edgeMM a length takes, at least least.
func steps(lengthMM, edgeMM float64, least int) int {
	n := math.Ceil(lengthMM/edgeMM - 1e-9) // a whole multiple stays one
	return max(least, int(min(n, facetsMax)))
}
