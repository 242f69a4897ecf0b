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
		for y := from; y < to; y++ {
			r.paintRow(img, y, t, k)
		}
	})
}

func (r *raster) paintRow(img *image.RGBA, y int, t tint, k ink) {
	out := img.Pix[img.PixOffset(0, y):]
	var codes [subPx][]uint8
	for j := range subPx {
		_, codes[j] = r.row(y*subPx + j)
	}
	for x := range r.w / subPx {
		var sum [3]int
		n := 0
		for j := range subPx {
			for i := range subPx {
				sx := x*subPx + i
				c := codes[j][4*sx : 4*sx+4]
				if c[0] == 0 {
					continue
				}
				p := r.colour(c, sx, y*subPx+j, t, k)
				sum[0] += int(p[0])
				sum[1] += int(p[1])
				sum[2] += int(p[2])
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

func (r *raster) colour(c []uint8, x, y int, t tint, k ink) rgb {
	id := uint16(c[2])<<8 | uint16(c[3])
	if r.isLine(id, x, y, k) {
		return k.colour
	}
	return t(id, c[1], float64(c[0]&127-1)/126, c[0] > 128, x, y)
}

// isLine says whether the sample lies within a line's width of an edge that
// its own surface is in front of.
func (r *raster) isLine(id uint16, x, y int, k ink) bool {
	for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		if k.outline > 0 && r.isPaper(x+d[0]*k.outline, y+d[1]*k.outline) {
			return true
		}
		if k.inner > 0 && r.isStep(id, x, y, d[0]*k.inner, d[1]*k.inner) {
			return true
		}
	}
	return false
}

func (r *raster) isPaper(x, y int) bool {
	if x < 0 || y < 0 || x >= r.w || y >= r.h {
		return true
	}
	_, code := r.row(y)
	return code[4*x] == 0
}

// isStep compares the depth at (x, y) with its neighbours on both sides: an
// edge is a fall that the slope before it does not continue.
func (r *raster) isStep(id uint16, x, y, dx, dy int) bool {
	if r.isPaper(x+dx, y+dy) {
		return false
	}
	z, _ := r.row(y)
	zn, code := r.row(y + dy)
	fall := (zn[x+dx] - z[x]) * r.depthPx
	if other := uint16(code[4*(x+dx)+2])<<8 | uint16(code[4*(x+dx)+3]); other != id && (fall > 0.5 || fall >= -0.5 && other > id) {
		return true
	}
	if fall < stepSamples {
		return false
	}
	if r.isPaper(x-dx, y-dy) {
		return true
	}
	zp, _ := r.row(y - dy)
	return fall > 4*(z[x]-zp[x-dx])*r.depthPx
}
