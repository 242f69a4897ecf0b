package primitive

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// motion is a helical motion under which a surface slides in itself: turning
// about the frame's axis and, a turn, advancing by PitchMM along it.
type motion struct {
	f       frame
	pitchMM float64
	located bool // f.C lies on the axis; otherwise only the direction is known
}

// slidingMotions finds the motions under which the patch slides in itself:
// surfaces of revolution have one without pitch, coils one with. The normals of
// such a surface lie in a linear complex, n·(c̄ + c×p) = 0 (Pottmann and
// Randrup, Computing 60 (1998) 307–322); it is found by least squares and
// reweighted by the sine of the angle to the surface, so that end caps do not
// count. The three stationary directions of the plain problem are the starts.
func slidingMotions(p *Patch) []motion {
	var out []motion
	for k := 0; k < 3; k++ {
		if m, ok := slide(p, k); ok {
			out = append(out, m)
		}
	}
	return out
}

func slide(p *Patch, start int) (motion, bool) {
	var c, cbar r3.Vec
	size := p.SizeMM / 2
	for it := 0; it < 25; it++ {
		var m [6][6]float64
		for i, n := range p.FacetN {
			q := r3.Scale(1/size, p.FacetC[i])
			w := p.FacetMM2[i]
			if it > 0 {
				v := r3.Add(cbar, r3.Cross(c, q))
				l := r3.Norm(v)
				if l == 0 {
					continue
				}
				w /= 0.02 + math.Abs(r3.Dot(n, v))/l
				w /= max(l*l, 1e-4)
			}
			s := r3.Cross(q, n)
			row := [6]float64{s.X, s.Y, s.Z, n.X, n.Y, n.Z}
			for a := 0; a < 6; a++ {
				for b := 0; b <= a; b++ {
					m[a][b] += w * row[a] * row[b]
				}
			}
		}
		k := 0
		if it == 0 {
			k = start
		}
		nc, nb, ok := complexOf(m, k, c)
		if !ok {
			return motion{}, false
		}
		turn := math.Abs(r3.Dot(nc, c))
		move := r3.Norm(r3.Sub(nb, cbar))
		c, cbar = nc, nb
		if it > 0 && turn > 1-1e-10 && move < 1e-6 {
			break
		}
	}
	h := r3.Dot(c, cbar)
	at := r3.Cross(c, cbar)
	return motion{f: newFrame(r3.Scale(size, at), c), pitchMM: 2 * math.Pi * h * size, located: true}, true
}

// complexOf returns the k-th smallest stationary complex of the 6×6 form m
// (lower triangle, rotation first) with |c| = 1; with last set, the smallest,
// its sign as last's.
func complexOf(m [6][6]float64, k int, last r3.Vec) (c, cbar r3.Vec, ok bool) {
	tr := m[3][3] + m[4][4] + m[5][5]
	a := mat.NewSymDense(3, nil)
	for i := 0; i < 3; i++ {
		for j := 0; j <= i; j++ {
			x := m[3+i][3+j]
			if i == j {
				x += 1e-9 * tr
			}
			a.SetSym(i, j, x)
		}
	}
	var ch mat.Cholesky
	if !(tr > 0) || !ch.Factorize(a) {
		return c, cbar, false
	}
	b := mat.NewDense(3, 3, nil) // couples c̄ (rows) with c (columns)
	for i := 0; i < 3; i++ {
		for j := 0; j < 3; j++ {
			b.Set(i, j, m[3+i][j])
		}
	}
	var x mat.Dense // A⁻¹B
	if ch.SolveTo(&x, b) != nil {
		return c, cbar, false
	}
	var schur [6]float64
	at := 0
	for i := 0; i < 3; i++ {
		for j := i; j < 3; j++ {
			s := m[j][i]
			for l := 0; l < 3; l++ {
				s -= b.At(l, i) * x.At(l, j)
			}
			schur[at] = s
			at++
		}
	}
	c = eigen(schur)[k]
	if r3.Dot(c, last) < 0 {
		c = r3.Scale(-1, c)
	}
	mul := func(i int) float64 { return -(x.At(i, 0)*c.X + x.At(i, 1)*c.Y + x.At(i, 2)*c.Z) }
	return c, r3.Vec{X: mul(0), Y: mul(1), Z: mul(2)}, true
}

// middle is the centre of the patch's box across the frame's axis.
func (p *Patch) middle(f frame) r3.Vec {
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, q := range p.P {
		u, v, _ := f.local(q)
		lo = [2]float64{min(lo[0], u), min(lo[1], v)}
		hi = [2]float64{max(hi[0], u), max(hi[1], v)}
	}
	return f.at((lo[0]+hi[0])/2, (lo[1]+hi[1])/2, 0)
}
