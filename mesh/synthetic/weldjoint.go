package synthetic

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// weldField is the signed distance of a welded scene.
type weldField struct {
	pieces  []weldPiece
	radius  [][]float64 // of the fillet between two pieces
	tacked  [][]bool
	wave    waves // of fillets, long and short
	tack    waves
	rough   waves
	roughMM float64
}

// weldPiece is a piece, or a drop of spatter, where it stands.
type weldPiece struct {
	frame  frame
	depth  depth
	centre r3.Vec
	reach  float64 // radius of a ball about centre that holds it
	drop   bool
}

func (w *weldPiece) distance(p r3.Vec) float64 {
	d := r3.Sub(p, w.frame.o)
	return w.depth(r3.Vec{X: r3.Dot(d, w.frame.u), Y: r3.Dot(d, w.frame.v), Z: r3.Dot(d, w.frame.w)})
}

// Lengths of what makes a bead uneven, mm: ripples of a torch in a scale of 1:12
// or so, and tacks.
const (
	beadWaveMM = 2.5
	tackWaveMM = 9
	roughMM    = 0.7
	// dropFilletMM joins spatter to what it sticks to.
	dropFilletMM = 0.15
	// filletLeastMM is the corner that a scanner rounds anyway.
	filletLeastMM = 0.15
)

// few is a smooth field of unit variance made of n waves.
func few(seed uint64, use, n int, lengthMM float64) waves {
	r := stream(seed, -2, use)
	w := waves{make([]r3.Vec, n), make([]float64, n), math.Sqrt(2 / float64(n))}
	for i := range w.k {
		w.k[i] = r3.Scale(2*math.Pi/(lengthMM*(0.7+0.6*r.Float64())), direction(r))
		w.phase[i] = 2 * math.Pi * r.Float64()
	}
	return w
}

func newWeldField(scene Scene, opt WeldOptions) (*weldField, error) {
	f := &weldField{
		wave: few(opt.Seed, 101, 8, beadWaveMM), tack: few(opt.Seed, 102, 6, tackWaveMM),
		rough: few(opt.Seed, 103, 10, roughMM), roughMM: opt.RoughMM,
	}
	for i, p := range scene.Pieces {
		w, err := placed(p, opt.RoundingMM)
		if err != nil {
			return nil, fmt.Errorf("piece %d, %q: %w", i+1, p.Name, err)
		}
		f.pieces = append(f.pieces, w)
	}
	n := len(f.pieces)
	r := stream(opt.Seed, -2, 104)
	f.radius, f.tacked = make([][]float64, n), make([][]bool, n)
	for i := range n {
		f.radius[i], f.tacked[i] = make([]float64, n), make([]bool, n)
		for j := range i {
			f.radius[i][j] = opt.FilletMinMM + r.Float64()*(opt.FilletMaxMM-opt.FilletMinMM)
			f.tacked[i][j] = r.Float64() < opt.TackShare
		}
	}
	return f, f.spatter(scene, opt)
}

// placed is a piece of a scene as a field, with a ball that holds it.
func placed(p Piece, edgeMM float64) (weldPiece, error) {
	d, err := depthOf(p.Shape, edgeMM)
	if err != nil {
		return weldPiece{}, err
	}
	fr, err := p.Pose.frame()
	if err != nil {
		return weldPiece{}, err
	}
	s, err := Mesh(p.Shape, 2)
	if err != nil {
		return weldPiece{}, err
	}
	w := weldPiece{frame: fr, depth: d}
	for _, q := range s.Points {
		w.centre = r3.Add(w.centre, r3.Scale(1/float64(len(s.Points)), fr.at(q)))
	}
	for _, q := range s.Points {
		w.reach = max(w.reach, r3.Norm(r3.Sub(fr.at(q), w.centre)))
	}
	return w, nil
}

// spatter puts drops on pieces within a few millimetres of where two meet.
func (f *weldField) spatter(scene Scene, opt WeldOptions) error {
	if opt.Spatter == 0 {
		return nil
	}
	var near []r3.Vec
	n := len(f.pieces)
	for i := range n {
		s, err := Mesh(scene.Pieces[i].Shape, 1.2)
		if err != nil {
			return err
		}
		for _, q := range s.Points {
			q = f.pieces[i].frame.at(q)
			least := math.Inf(1)
			for j := range n {
				if j != i && r3.Norm(r3.Sub(q, f.pieces[j].centre)) < f.pieces[j].reach+6 {
					least = min(least, f.pieces[j].distance(q))
				}
			}
			if least > 0.8 && least < 5 {
				near = append(near, q)
			}
		}
	}
	r := stream(opt.Seed, -2, 105)
	for k := 0; k < opt.Spatter && len(near) > 0; k++ {
		at, size := near[r.IntN(len(near))], 0.2+0.35*r.Float64()
		f.pieces = append(f.pieces, weldPiece{frame: frame{o: at}, centre: at, reach: size, drop: true,
			depth: func(r3.Vec) float64 { return 0 }})
		d := &f.pieces[len(f.pieces)-1]
		d.frame = frame{at, r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}}
		d.depth = func(p r3.Vec) float64 { return r3.Norm(p) - size }
	}
	return nil
}

// fillet is the radius between two pieces at p.
func (f *weldField) fillet(i, j int32, p r3.Vec) float64 {
	if f.pieces[i].drop || f.pieces[j].drop {
		return dropFilletMM
	}
	a, b := max(i, j), min(i, j)
	r := f.radius[a][b] * (1 + 0.2*min(max(f.wave.at(p), -2), 2))
	if f.tacked[a][b] {
		r *= min(max(1.5*f.tack.at(p)+0.3, 0), 1)
	}
	return max(r, filletLeastMM)
}

// value is the signed distance at p among the given pieces, and by how much
// welds fill it.
func (f *weldField) value(p r3.Vec, near []int32) (d, fill float64) {
	var at [32]float64
	n := min(len(near), len(at))
	least := math.Inf(1)
	for k := range n {
		at[k] = f.pieces[near[k]].distance(p)
		least = min(least, at[k])
	}
	d = least
	for a := range n {
		if at[a] > 2.5 {
			continue
		}
		for b := range a {
			if at[b] > 2.5 {
				continue
			}
			r := f.fillet(near[a], near[b], p)
			if at[a] < r && at[b] < r {
				d = min(d, max(r, min(at[a], at[b]))-math.Hypot(r-at[a], r-at[b]))
			}
		}
	}
	fill = least - d
	if fill > 0 && f.roughMM > 0 {
		d += f.roughMM * f.rough.at(p) * min(fill/0.15, 1)
	}
	return d, fill
}

// welded is where a facet belongs: its nearest piece, and whether it is weld.
type welded struct {
	piece int32
	weld  bool
}

func (w welded) patch() int32 {
	if w.weld {
		return -1
	}
	return 0
}

// weldFillMM is the filling from which a facet is weld and no longer metal: over
// the noise of a scan.
const weldFillMM = 0.06

// labels gives the facets of the surface to pieces.
func (f *weldField) labels(s Shell) []welded {
	out := make([]welded, len(s.Faces))
	const block = 4096
	each((len(s.Faces)+block-1)/block, func(b int) {
		var near []int32
		for i := b * block; i < min((b+1)*block, len(s.Faces)); i++ {
			t := s.Faces[i]
			c := r3.Scale(1.0/3, r3.Add(s.Points[t[0]], r3.Add(s.Points[t[1]], s.Points[t[2]])))
			near = near[:0]
			least, drop := math.Inf(1), false
			for k := range f.pieces {
				w := &f.pieces[k]
				if r3.Norm(r3.Sub(c, w.centre)) > w.reach+3 {
					continue
				}
				near = append(near, int32(k))
				d := math.Abs(w.distance(c))
				if w.drop {
					drop = drop || d < 0.1
				} else if d < least {
					least, out[i].piece = d, int32(k)
				}
			}
			_, fill := f.value(c, near)
			out[i].weld = fill > weldFillMM || drop && least > 0.05
		}
	})
	return out
}

// bare tells whether a point of a piece's ideal surface is free of the other
// pieces and of weld.
func (f *weldField) bare(piece int32, p r3.Vec) bool {
	near := []int32{piece}
	for k := range f.pieces {
		w := &f.pieces[k]
		if int32(k) == piece || r3.Norm(r3.Sub(p, w.centre)) > w.reach+2.5 {
			continue
		}
		if w.distance(p) < weldFillMM {
			return false
		}
		near = append(near, int32(k))
	}
	_, fill := f.value(p, near)
	return fill < weldFillMM
}
