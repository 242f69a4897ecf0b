package site

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// unbraced is the length of a piece that nothing holds from the side, times how it is
// held: K = 1 between two places that stand without the piece, 2.1 from the last of them to a
// free end (AISC 360 table C-A-7.1, recommended values for pinned ends without sway
// and for a fixed and a free end). Sway of the whole is in the critical factor. Curved
// pieces count by their developed length, closed ones by half of it.
type unbraced struct{ lengthMM, factor float64 }

func (u unbraced) effectiveMM() float64 { return u.lengthMM * u.factor }

// unbracedOf finds the worst stretch of a piece with beams.
func (s *Structure) unbracedOf(piece int) unbraced {
	at, length := s.stations(piece)
	closed := len(s.BeamsOf[piece]) == len(s.NodesOf[piece])
	held := s.heldWithout(piece)
	first, last, worst := math.Inf(1), math.Inf(-1), unbraced{factor: 1}
	var braces []float64
	brace := func(node int) {
		x := at[node]
		first, last = min(first, x), max(last, x)
		braces = append(braces, x)
	}
	for _, j := range s.Joints {
		if l := s.Model.Links[j.Link]; j.A == piece && held[j.B] {
			brace(l.A)
		} else if j.B == piece && held[j.A] {
			brace(l.B)
		}
	}
	for _, f := range s.Feet {
		if f.Piece == piece {
			brace(s.nearest(piece, f.AtMM))
		}
	}
	switch {
	case closed:
		return unbraced{length / 2, 1}
	case len(braces) == 0:
		return unbraced{length, freeEnd}
	}
	for _, a := range braces {
		next := math.Inf(1)
		for _, b := range braces {
			if b > a {
				next = min(next, b)
			}
		}
		if !math.IsInf(next, 1) && next-a > worst.lengthMM {
			worst.lengthMM = next - a
		}
	}
	if over := (unbraced{max(first, length-last), freeEnd}); over.effectiveMM() > worst.effectiveMM() {
		return over
	}
	return worst
}

const freeEnd = 2.1

// stations are the places of a piece's nodes along it, and its length.
func (s *Structure) stations(piece int) (at map[int]float64, lengthMM float64) {
	at = map[int]float64{s.NodesOf[piece][0]: 0}
	for _, i := range s.BeamsOf[piece] {
		b := s.Model.Beams[i]
		lengthMM += r3.Norm(r3.Sub(s.Model.Nodes[b.A].AtMM, s.Model.Nodes[b.B].AtMM))
		if _, known := at[b.B]; !known {
			at[b.B] = lengthMM
		}
	}
	return at, lengthMM
}

// heldWithout says which pieces still hang together with the ground when one is gone.
func (s *Structure) heldWithout(piece int) []bool {
	n := len(s.Pieces)
	root := roots(n+1, func(join func(a, b int)) {
		for _, j := range s.Joints {
			if j.A != piece && j.B != piece {
				join(j.A, j.B)
			}
		}
		for _, f := range s.Feet {
			if f.Piece != piece {
				join(f.Piece, n)
			}
		}
	})
	out := make([]bool, n)
	for i := range out {
		out[i] = root[i] == root[n]
	}
	return out
}
