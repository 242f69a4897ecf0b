package synthetic

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// WeldOptions says how a scene's pieces are welded to one surface and what the
// scanner does to that. What is 0 is not done.
type WeldOptions struct {
	Options     // Seed, EdgeMM (of the grid), noise, RoundingMM (of outer edges), gaps and dust count
	FilletMinMM float64
	FilletMaxMM float64 // each pair of pieces has a radius between these
	RoughMM     float64 // standard deviation of the beads' own surface
	TackShare   float64 // of the pairs, that are welded here and there only
	Spatter     int     // drops beside welds
	Views       int     // directions that the scanner looks from; 0 sees everything
}

// DefaultWeldOptions is a fair scan of a neatly welded piece.
func DefaultWeldOptions() WeldOptions {
	o := WeldOptions{Options: DefaultOptions(), FilletMinMM: 0.5, FilletMaxMM: 1.2, RoughMM: 0.06}
	o.EdgeMM, o.NoiseMM, o.RoundingMM = 0.55, 0.03, 0.2
	return o
}

func (o WeldOptions) check() error {
	if err := o.Options.check(); err != nil {
		return err
	}
	if !(o.FilletMinMM >= 0.05 && o.FilletMinMM <= o.FilletMaxMM && o.FilletMaxMM <= 3) {
		return fmt.Errorf("weld: fillets of %g to %g mm; give 0.05 to 3 mm, the smaller first", o.FilletMinMM, o.FilletMaxMM)
	}
	if !(o.RoughMM >= 0 && o.RoughMM <= 0.5 && o.TackShare >= 0 && o.TackShare <= 1 && o.Spatter >= 0 && o.Spatter <= 1e4 && o.Views >= 0 && o.Views <= 200) {
		return fmt.Errorf("weld: rough by %g mm, tacks %g, %d drops, %d views; give 0 to 0.5 mm, 0 to 1, 0 to 10000, 0 to 200", o.RoughMM, o.TackShare, o.Spatter, o.Views)
	}
	return nil
}

// Welded is a scene that has become one surface.
//
// Shapes: as [Scanned]; Piece is the piece nearest to a facet, weld included,
// and Patch 0 on metal, -1 on weld and drops. Seen has one row a piece.
type Welded struct {
	Scanned
	Seen []Seen
}

// Seen is how much of a piece's ideal surface the scan shows: the share of the
// whole, of each end (start, end along its axis) and of its bore; 1 for what it
// has none of.
type Seen struct {
	Whole, Bore float64
	End         [2]float64
}

// ScanWelded welds the pieces of a scene to one surface and scans it. Pieces
// that the largest connected surface does not reach, and voids, are not seen.
func ScanWelded(scene Scene, opt WeldOptions) (Welded, error) {
	if err := opt.check(); err != nil {
		return Welded{}, err
	}
	f, err := newWeldField(scene, opt)
	if err != nil {
		return Welded{}, err
	}
	shell := f.polygonise(opt.EdgeMM)
	shell = largestShell(shell)
	if len(shell.Faces) == 0 {
		return Welded{}, fmt.Errorf("weld: the scene has no surface; add pieces")
	}
	out := Welded{Scanned: Scanned{Name: scene.Name}}
	label := f.labels(shell)
	kept := visible(shell, opt.Views, opt.Seed)
	shell.Patch = make([]int32, len(shell.Faces))
	disturbedShell := disturbedWeld(shell, opt)
	for i := range scene.Pieces {
		t, err := TruthOf(scene.Pieces[i])
		if err != nil {
			return Welded{}, err
		}
		out.Truth = append(out.Truth, t)
	}
	for i, t := range disturbedShell.Faces {
		if !kept[i] {
			continue
		}
		out.Triangles = append(out.Triangles, [3][3]float32{single(disturbedShell.Points[t[0]]), single(disturbedShell.Points[t[1]]), single(disturbedShell.Points[t[2]])})
		out.Piece = append(out.Piece, label[i].piece)
		out.Patch = append(out.Patch, label[i].patch())
	}
	out.damage(opt.Options)
	if out.Seen, err = f.seen(scene, out.Scanned, opt.EdgeMM); err != nil {
		return Welded{}, err
	}
	return out, nil
}

// disturbedWeld moves vertices as scanners do: along their normals.
func disturbedWeld(s Shell, opt WeldOptions) Shell {
	o := opt.Options
	if along := alongNormal(s, 0, o); along != nil {
		for v, n := range s.Normals() {
			s.Points[v] = r3.Add(s.Points[v], r3.Scale(along[v], n))
		}
	}
	if o.NoiseMM > 0 && o.Isotropic {
		r := stream(o.Seed, 0, useNoise)
		for v, q := range s.Points {
			s.Points[v] = r3.Add(q, r3.Scale(o.NoiseMM, normalVec(r)))
		}
	}
	return s
}

// largestShell keeps the connected part of most facets.
func largestShell(s Shell) Shell {
	root := make([]uint32, len(s.Points))
	for i := range root {
		root[i] = uint32(i)
	}
	find := func(a uint32) uint32 {
		for root[a] != a {
			root[a] = root[root[a]]
			a = root[a]
		}
		return a
	}
	for _, t := range s.Faces {
		for k := range 2 {
			a, b := find(t[k]), find(t[k+1])
			root[max(a, b)] = min(a, b)
		}
	}
	count := make([]int, len(s.Points))
	most := uint32(0)
	for _, t := range s.Faces {
		r := find(t[0])
		if count[r]++; count[r] > count[most] {
			most = r
		}
	}
	number := make([]int32, len(s.Points))
	var out Shell
	for i, p := range s.Points {
		number[i] = -1
		if find(uint32(i)) == most {
			number[i] = int32(len(out.Points))
			out.Points = append(out.Points, p)
		}
	}
	for _, t := range s.Faces {
		if number[t[0]] >= 0 {
			out.Faces = append(out.Faces, [3]uint32{uint32(number[t[0]]), uint32(number[t[1]]), uint32(number[t[2]])})
		}
	}
	return out
}

// seen compares the ideal surface of every piece with the scan's facets of it.
func (f *weldField) seen(scene Scene, scan Scanned, edgeMM float64) ([]Seen, error) {
	cell := 1.5 * edgeMM
	type key [4]int32
	at := func(piece int32, p r3.Vec) key {
		return key{piece, int32(math.Floor(p.X / cell)), int32(math.Floor(p.Y / cell)), int32(math.Floor(p.Z / cell))}
	}
	there := map[key]bool{}
	for i, t := range scan.Triangles {
		if scan.Patch[i] == 0 {
			there[at(scan.Piece[i], centre(t))] = true
		}
	}
	out := make([]Seen, len(scene.Pieces))
	errs := make([]error, len(out))
	each(len(out), func(i int) {
		s, err := Mesh(scene.Pieces[i].Shape, max(edgeMM, 0.8))
		if err != nil {
			errs[i] = err
			return
		}
		var sum, have [4]float64 // whole, start, end, bore
		for k, t := range s.Faces {
			n := s.areaVector(k)
			c := r3.Scale(1.0/3, r3.Add(s.Points[t[0]], r3.Add(s.Points[t[1]], s.Points[t[2]])))
			place := -1
			w := f.pieces[i].frame.at(c)
			base := at(int32(i), w)
			ok, bare := false, f.bare(int32(i), w)
			for d := range int32(27) {
				if !bare {
					break
				}
				if there[key{base[0], base[1] + d%3 - 1, base[2] + d/3%3 - 1, base[3] + d/9 - 1}] {
					ok = true
					break
				}
			}
			mm2 := r3.Norm(n)
			radial := n.X*c.X + n.Y*c.Y
			switch {
			case s.Patch[k] == 0:
				place = 1
			case s.Patch[k] == 1:
				place = 2
			case radial < -0.7*mm2*math.Hypot(c.X, c.Y):
				place = 3
			}
			for _, j := range []int{0, place} {
				if j >= 0 {
					sum[j] += mm2
					if ok {
						have[j] += mm2
					}
				}
			}
		}
		share := func(j int) float64 {
			if sum[j] == 0 {
				return 1
			}
			return have[j] / sum[j]
		}
		out[i] = Seen{share(0), share(3), [2]float64{share(1), share(2)}}
	})
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}
