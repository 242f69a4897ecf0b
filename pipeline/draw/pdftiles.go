package draw

import (
	"fmt"
	"math"
	"slices"
)

// Of a page, mm: edges that printers cannot reach (common practice, no source),
// the title strip at its foot, what neighbours share.
const (
	marginMM  = 10.0
	stripMM   = 26.0
	overlapMM = 10.0
	pagesMost = 400
)

// tiles divide a drawing over pages, row 0 at the top.
type tiles struct {
	paper, field  [2]float64 // of the page, and of the drawing on it
	columns, rows int
	origin        [2]float64 // upper left corner of the first tile in the drawing
}

// tile lays the box on the paper, upright or lying, whichever takes fewer pages;
// the drawing stands in the middle.
func tile(all box, paper string) (tiles, error) {
	short, long, err := PaperMM(paper)
	if err != nil {
		return tiles{}, err
	}
	var best tiles
	for _, size := range [2][2]float64{{short, long}, {long, short}} {
		t := tiles{paper: size, field: [2]float64{size[0] - 2*marginMM, size[1] - 2*marginMM - stripMM}}
		need := [2]float64{all.hi[0] - all.lo[0] + 2, all.hi[1] - all.lo[1] + 2}
		t.columns, t.rows = count(need[0], t.field[0]), count(need[1], t.field[1])
		if t.columns > pagesMost || t.rows > pagesMost || t.columns*t.rows > pagesMost {
			continue
		}
		for k, n := range [2]int{t.columns, t.rows} {
			covered := t.field[k] + float64(n-1)*(t.field[k]-overlapMM)
			t.origin[k] = (all.lo[k]+all.hi[k])/2 - covered/2
			if k == 1 {
				t.origin[k] += covered
			}
		}
		if best.columns == 0 || t.columns*t.rows < best.columns*best.rows {
			best = t
		}
	}
	if best.columns == 0 {
		return best, fmt.Errorf("pdf: %.0f × %.0f mm takes over %d pages of %s; take larger paper, or the DXF", all.hi[0]-all.lo[0], all.hi[1]-all.lo[1], pagesMost, paper)
	}
	return best, nil
}

func count(need, field float64) int {
	if need <= field {
		return 1
	}
	return 1 + int(math.Min(math.Ceil((need-field)/(field-overlapMM)-1e-9), pagesMost))
}

// window is what a tile at column, row shows of the drawing.
func (t tiles) window(at [2]int) box {
	x := t.origin[0] + float64(at[0])*(t.field[0]-overlapMM)
	y := t.origin[1] - float64(at[1])*(t.field[1]-overlapMM)
	return box{[2]float64{x, y - t.field[1]}, [2]float64{x + t.field[0], y}}
}

// touched lists the tiles on which something falls, row by row.
func (t tiles) touched(strokes map[Layer][]stroke) [][2]int {
	var out [][2]int
	for row := range t.rows {
		for column := range t.columns {
			at := [2]int{column, row}
			if slices.ContainsFunc(layers, func(l Layer) bool {
				return slices.ContainsFunc(strokes[l], func(s stroke) bool { return s.falls(t.window(at)) })
			}) {
				out = append(out, at)
			}
		}
	}
	return out
}

// falls tells whether the stroke enters the window: arcs by chords of 5°.
func (s stroke) falls(b box) bool {
	if !s.box().meets(b) {
		return false
	}
	if s.label != nil {
		return true
	}
	for _, c := range s.curves {
		if !c.box().meets(b) {
			continue
		}
		n := max(1, int(math.Ceil(math.Abs(c.sweep)*36/math.Pi)))
		for i := range n {
			if chordFalls(c.at(float64(i)/float64(n)), c.at(float64(i+1)/float64(n)), b) {
				return true
			}
		}
	}
	return false
}

// chordFalls clips a chord to the window (Liang and Barsky, ACM Trans. Graph. 3
// (1984) 1); a tenth of a chord's bow is left as room.
func chordFalls(p, q [2]float64, b box) bool {
	room := 0.001*math.Hypot(q[0]-p[0], q[1]-p[1]) + 0.1
	from, to := 0.0, 1.0
	for k := range p {
		d := q[k] - p[k]
		lo, hi := b.lo[k]-room-p[k], b.hi[k]+room-p[k]
		if d == 0 {
			if lo > 0 || hi < 0 {
				return false
			}
			continue
		}
		a, z := lo/d, hi/d
		if a > z {
			a, z = z, a
		}
		from, to = max(from, a), min(to, z)
	}
	return from <= to
}
