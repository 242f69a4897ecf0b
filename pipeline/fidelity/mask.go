package fidelity

import (
	"math"
	"math/bits"

	"gonum.org/v1/gonum/spatial/r3"
)

// mask is a bit a pixel, rows from below. A row is whole words, so that a picture
// of three million pixels is looked at 64 at a time and fits the processor's cache.
type mask struct {
	wide, high int
	words      int // of a row
	bits       []uint64
}

func newMask(wide, high int) mask {
	words := wide/64 + 1 // one bit over at least: nothing moves from a row's end into the next
	return mask{wide, high, words, make([]uint64, words*high)}
}

func (m mask) row(y int) []uint64 { return m.bits[y*m.words : (y+1)*m.words] }

// bit is 1 where a pixel is set, 0 elsewhere and outside the picture.
func (m mask) bit(x, y int) uint64 {
	if x < 0 || y < 0 || x >= m.wide || y >= m.high {
		return 0
	}
	return m.bits[y*m.words+x>>6] >> (x & 63) & 1
}

// set sets the pixels of a row from x0 to x1 and both.
func (m mask) set(y, x0, x1 int) {
	row := m.row(y)
	first, last := x0>>6, x1>>6
	left, right := ^uint64(0)<<(x0&63), ^uint64(0)>>(63-x1&63)
	if first == last {
		row[first] |= left & right
		return
	}
	row[first] |= left
	for w := first + 1; w < last; w++ {
		row[w] = ^uint64(0)
	}
	row[last] |= right
}

func (m mask) count() int {
	n := 0
	for _, w := range m.bits {
		n += bits.OnesCount64(w)
	}
	return n
}

// rim is what is set and has one of four beside it that is not. What a picture
// covers never lies at its border.
func (m mask) rim() mask {
	out := newMask(m.wide, m.high)
	for y := 1; y < m.high-1; y++ {
		below, row, above, to := m.row(y-1), m.row(y), m.row(y+1), out.row(y)
		for i, w := range row {
			left, right := w<<1, w>>1
			if i > 0 {
				left |= row[i-1] >> 63
			}
			if i+1 < len(row) {
				right |= row[i+1] << 63
			}
			to[i] = w &^ (left & right & below[i] & above[i])
		}
	}
	return out
}

// beyond counts the pixels that lie farther than reach from all of another mask.
func (m mask) beyond(o mask, reach float64) int {
	n, near := 0, make([]uint64, m.words)
	for y := range m.high {
		row := m.row(y)
		if next(row, 0, ^uint64(0)) >= m.wide {
			continue
		}
		o.grown(y, reach, near)
		for i, w := range row {
			n += bits.OnesCount64(w &^ near[i])
		}
	}
	return n
}

// grown is the row of what lies within reach of what is set, in pixels.
func (m mask) grown(y int, reach float64, to []uint64) {
	clear(to)
	r := int(reach)
	for dy := max(-r, -y); dy <= min(r, m.high-1-y); dy++ {
		half := int(math.Sqrt(reach*reach - float64(dy*dy)))
		for dx := -half; dx <= half; dx++ {
			addMoved(to, m.row(y+dy), dx)
		}
	}
}

// A block has so many pixels to each side.
const (
	blockBits = 4
	blockSide = 1 << blockBits
)

// touches tells whether the box of a triangle, in pixels, reaches a block that is set.
func (m mask) touches(a, b, c r3.Vec) bool {
	x0, x1 := max(0, int(min(a.X, b.X, c.X))>>blockBits), min(m.wide-1, int(max(a.X, b.X, c.X))>>blockBits)
	y0, y1 := max(0, int(min(a.Y, b.Y, c.Y))>>blockBits), min(m.high-1, int(max(a.Y, b.Y, c.Y))>>blockBits)
	for y := y0; y <= y1 && x0 <= x1; y++ {
		if next(m.row(y)[:x1>>6+1], x0, ^uint64(0)) <= x1 {
			return true
		}
	}
	return false
}

// addMoved adds the pixels of one row to another, dx to the right.
func addMoved(to, from []uint64, dx int) {
	words, rest := dx>>6, dx&63
	for i := max(0, words); i < len(to); i++ {
		j := i - words
		if j < len(from) {
			to[i] |= from[j] << rest
		}
		if j > 0 && j <= len(from) && rest > 0 {
			to[i] |= from[j-1] >> (64 - rest)
		}
	}
}

// runs adds the stretches of a row that are not set to out.
func (m mask) runs(y int, out []run) []run {
	row := m.row(y)
	for x := 0; ; {
		x0 := next(row, x, 0)
		if x0 >= m.wide {
			return out
		}
		x = min(next(row, x0, ^uint64(0)), m.wide)
		out = append(out, run{y, x0, x - 1})
	}
}

// next is the first pixel from x on whose bit differs from those of the word
// given: with flip 0 the first that is not set, else the first that is. The row's
// length in bits where there is none.
func next(row []uint64, x int, flip uint64) int {
	for w := x >> 6; w < len(row); w++ {
		hits := ^row[w] ^ flip
		if w == x>>6 {
			hits &= ^uint64(0) << (x & 63)
		}
		if hits != 0 {
			return w<<6 + bits.TrailingZeros64(hits)
		}
	}
	return len(row) << 6
}

// nearest is the set pixel nearest to one inside the picture, looked for row by row away
// from it.
func (m mask) nearest(x, y int) (u, v int, ok bool) {
	best := m.wide*m.wide + m.high*m.high
	for dy := 0; dy < m.high && dy*dy < best; dy++ {
		reach := int(math.Sqrt(float64(best - dy*dy)))
		for _, at := range [2]int{y - dy, y + dy} {
			if at < 0 || at >= m.high {
				continue
			}
			if to := near(m.row(at), x, reach); to >= 0 && (to-x)*(to-x)+dy*dy < best {
				best, u, v, ok = (to-x)*(to-x)+dy*dy, to, at, true
			}
		}
	}
	return u, v, ok
}

// near is the pixel of a row nearest to x that is set, of two the left one, looked for
// about as far as reach; -1 where there is none.
func near(row []uint64, x, reach int) int {
	first, last := max(x-reach, 0)>>6, min((x+reach)>>6, len(row)-1)
	left := -1
	for w := x >> 6; w >= first && left < 0; w-- {
		word := row[w]
		if w == x>>6 {
			word &= ^uint64(0) >> (63 - x&63)
		}
		if word != 0 {
			left = w<<6 + bits.Len64(word) - 1
		}
	}
	if right := next(row[:last+1], x, ^uint64(0)); right < (last+1)<<6 && (left < 0 || right-x < x-left) {
		return right
	}
	return left
}
