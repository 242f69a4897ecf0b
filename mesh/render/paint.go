package render

import "image"

// ink says where lines go and how wide they are, in samples.
type ink struct {
	outline int // inside the edge against the paper
	inner   int // inside the edge against what lies behind, or another element
	colour  rgb
}

// stepSamples is the difference in depth between neighbours that makes an edge.
// It is several samples, so that the slope of a surface near its own outline
// makes none.
const stepSamples = 14

// tint gives the colour of a sample from its element, its value code and its
// light, 0 to 1; x and y are its place in samples.
type tint func(id uint16, value uint8, light float64, back bool, x, y int) rgb

// paint lays what r holds over img, at (0, 0): colours, lines, and the mean of
// subPx x subPx samples a pixel. Empty samples let the paper through.
func (r *raster) paint(img *image.RGBA, t tint, k ink) {
	h := r.h / subPx
	inRanges(h, func(from, to int) {
		p := &painter{r: r, tint: t, ink: k}
		for y := from; y < to; y++ {
			p.row(img, y)
		}
	})
}

// painter is what paints one row of pixels after the other. It keeps the colours of
// the codes that it met last.
type painter struct {
	r    *raster
	tint tint
	ink  ink
	near [subPx]vicinity
	kept [256]struct {
		code   [4]uint8
		colour rgb
	}
}

// samplesRow are the depths and codes of a row of samples; none off the sheet.
type samplesRow struct {
	z    []float64
	code []uint8
}

func (r *raster) samples(y int) samplesRow {
	z, code := r.row(y)
	return samplesRow{z, code}
}

// isPaper says that nothing is drawn at x, on or off the row.
func (s samplesRow) isPaper(x int) bool {
	return x < 0 || 4*x >= len(s.code) || s.code[4*x] == 0
}

func (s samplesRow) id(x int) uint16 { return uint16(s.code[4*x+2])<<8 | uint16(s.code[4*x+3]) }

// vicinity are a row of samples and those a line's width above and below it.
type vicinity struct {
	samplesRow
	outline, inner [2]samplesRow
}

func (p *painter) row(img *image.RGBA, y int) {
	drawn := false
	for j := range subPx {
		at := y*subPx + j
		v := vicinity{samplesRow: p.r.samples(at)}
		for i, side := range [2]int{1, -1} {
			v.outline[i], v.inner[i] = p.r.samples(at+side*p.ink.outline), p.r.samples(at+side*p.ink.inner)
		}
		p.near[j] = v
		drawn = drawn || v.code != nil
	}
	if !drawn {
		return
	}
	out := img.Pix[img.PixOffset(0, y):]
	for x := range p.r.w / subPx {
		var sum [3]int
		n := 0
		for j := range subPx {
			for i := range subPx {
				sx := x*subPx + i
				if p.near[j].isPaper(sx) {
					continue
				}
				c := p.colour(&p.near[j], sx, y*subPx+j)
				sum[0] += int(c[0])
				sum[1] += int(c[1])
				sum[2] += int(c[2])
				n++
			}
		}
		if n == 0 {
			continue
		}
		for c := range 3 {
			out[4*x+c] = uint8((sum[c] + (subPx*subPx-n)*int(out[4*x+c]) + subPx*subPx/2) / (subPx * subPx))
		}
	}
}

func (p *painter) colour(v *vicinity, x, y int) rgb {
	if p.isLine(v, x) {
		return p.ink.colour
	}
	c := [4]uint8(v.code[4*x : 4*x+4])
	k := &p.kept[c[0]^31*c[1]^7*c[3]]
	if c == k.code && c[1] != codeUnder && c[1] != codeOver { // what is beyond the scale is hatched
		return k.colour
	}
	k.code, k.colour = c, p.tint(v.id(x), c[1], float64(c[0]&127-1)/126, c[0] > 128, x, y)
	return k.colour
}

// isLine says whether the sample lies within a line's width of an edge that
// its own surface is in front of.
func (p *painter) isLine(v *vicinity, x int) bool {
	if o := p.ink.outline; o > 0 && (v.isPaper(x+o) || v.isPaper(x-o) || v.outline[0].isPaper(x) || v.outline[1].isPaper(x)) {
		return true
	}
	i := p.ink.inner
	return i > 0 && (p.isStep(v.samplesRow, v.samplesRow, v.samplesRow, x, i) || p.isStep(v.samplesRow, v.samplesRow, v.samplesRow, x, -i) ||
		p.isStep(v.samplesRow, v.inner[0], v.inner[1], x, 0) || p.isStep(v.samplesRow, v.inner[1], v.inner[0], x, 0))
}

// isStep compares the depth at x with its neighbours on both sides, dx on and before:
// an edge is a fall that the slope before it does not continue.
func (p *painter) isStep(here, on, before samplesRow, x, dx int) bool {
	if on.isPaper(x + dx) {
		return false
	}
	fall := (on.z[x+dx] - here.z[x]) * p.r.depthPx
	if other, id := on.id(x+dx), here.id(x); other != id && (fall > 0.5 || fall >= -0.5 && other > id) {
		return true
	}
	if fall < stepSamples {
		return false
	}
	return before.isPaper(x-dx) || fall > 4*(here.z[x]-before.z[x-dx])*p.r.depthPx
}
