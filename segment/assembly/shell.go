package assembly

import (
	"context"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// fusedFacets is the least size of a shell that may be several pieces welded
// together.
const fusedFacets = 2000

// Shell says what a connected shell is: one piece, or the pieces that it is
// welded from, where it is no primitive, or one on which others stand. pieces is
// nil for one piece. faces and points of the mesh are in rising order.
func Shell(ctx context.Context, m *mesh.Mesh, faces, points []uint32, noiseMM float64, opt primitive.Options) (whole Piece, pieces []Piece, err error) {
	e, p := primitive.RecogniseShell(m, faces, points, noiseMM, opt)
	whole = Piece{Element: e, Faces: faces, Patch: p}
	known := e.Kind != "freeform"
	rough := known && e.RMSMM > roughNoise*max(p.NoiseMM, noiseMM)
	standing := known && stands(p, e)
	if len(faces) < fusedFacets || e.Whole || known && !standing && !rough {
		return whole, nil, nil
	}
	if p.Face == nil {
		p = primitive.NewPatch(m, faces, noiseMM)
	}
	pieces, err = Pieces(ctx, m, p, opt)
	switch {
	case err == nil && rough && !standing && !smoother(pieces, e):
	case err != nil || len(pieces) > 1 && (!known || severalKnown(pieces)):
		return whole, pieces, err
	case !known:
		whole.Element.Notes = append(e.Notes, "no seams were found that would part it into known pieces")
	}
	return whole, nil, nil
}

// A fit whose scatter is this many times the noise may be of several pieces, and
// is, where each of them scatters so many times less.
const (
	roughNoise   = 3
	roughClearer = 4
)

// smoother tells that each piece is known and lies on its surface far better than
// all do on the one of e: two bars of nearly one size end to end, say.
func smoother(pieces []Piece, e primitive.Element) bool {
	for _, x := range pieces {
		if x.Element.Kind == "freeform" || roughClearer*x.Element.RMSMM > e.RMSMM {
			return false
		}
	}
	return len(pieces) > 1
}

// What stands off an ideal piece by this many times the distance at which a facet
// still lies on it, 40 times its scatter, is no dent or bead of it; standShare of
// the shell's area is as much as a small piece has, and what a bead has not.
const (
	standGates = 10
	standShare = 0.01
)

// stands tells that something stands on the piece that a shell was recognised as:
// its fit, which leaves a part of the surface to dents and dust, has taken no
// notice of it.
func stands(p *primitive.Patch, e primitive.Element) bool {
	return standingMM2(p, p, &Piece{Element: e}) > standShare*p.TotalMM2
}

// standingMM2 is the area of a part q of shell p that stands off an ideal piece.
func standingMM2(p, q *primitive.Patch, x *Piece) float64 {
	far := standGates * onGate(p, x)
	area := 0.0
	for i, c := range q.FacetC {
		if x.Element.DistanceMM(r3.Add(c, q.OriginMM)) > far {
			area += q.FacetMM2[i]
		}
	}
	return area
}

func severalKnown(pieces []Piece) bool {
	n := 0
	for _, x := range pieces {
		if x.Element.Kind != "freeform" {
			n++
		}
	}
	return n > 1
}
