package render

import (
	"math"
)

// ground is a round piece of floor at z = 0, in SITE.
type ground struct{ x, y, radiusMM float64 }

const groundSides = 120

func (g ground) rim() [][3]float64 {
	out := make([][3]float64, groundSides)
	for i := range out {
		s, c := math.Sincos(2 * math.Pi * float64(i) / groundSides)
		out[i] = [3]float64{g.x + g.radiusMM*c, g.y + g.radiusMM*s, 0}
	}
	return out
}

// gridMM is the spacing of the floor's lines: a round length, 1 m for a piece
// of a few metres.
func (g ground) gridMM() float64 { return niceLengthMM(math.Max(g.radiusMM/2, 1e-3)) }

func (g ground) paint(p *pen, cam camera) {
	var rim []pt
	for _, q := range g.rim() {
		rim = append(rim, cam.px(q[0], q[1], q[2]))
	}
	p.area(groundColour().over(), rim...)
}

func (g ground) paintGrid(p *pen, cam camera) {
	step := g.gridMM()
	for along := range 2 {
		centre, other := g.x, g.y
		if along == 1 {
			centre, other = g.y, g.x
		}
		for k := math.Ceil((centre - g.radiusMM) / step); k*step <= centre+g.radiusMM; k++ {
			d := k*step - centre
			half := math.Sqrt(math.Max(0, g.radiusMM*g.radiusMM-d*d))
			a, b := [3]float64{k * step, other - half}, [3]float64{k * step, other + half}
			if along == 1 {
				a, b = [3]float64{other - half, k * step}, [3]float64{other + half, k * step}
			}
			p.line(gridColour(), 1.1, cam.px(a[0], a[1], 0), cam.px(b[0], b[1], 0))
		}
	}
	var last pt
	for i, q := range append(g.rim(), g.rim()[0]) {
		c := cam.px(q[0], q[1], 0)
		if i > 0 {
			p.line(gridColour(), 1.4, last, c)
		}
		last = c
	}
}

// sun moves a point down to the floor: so much across to the reader's right and
// away from the reader for each mm of height.
const (
	sunRight = 0.30
	sunAway  = 0.42
)

// shadow is a mask of half the sheet's pixels where something stands between
// sun and floor.
type shadow struct {
	w, h int
	mask []uint8
}

const shadowPx = 2 // pixels of the sheet, a cell

func newShadow(s Sheet) *shadow {
	w, h := (s.WidthPx+shadowPx-1)/shadowPx, (s.HeightPx+shadowPx-1)/shadowPx
	return &shadow{w, h, make([]uint8, w*h)}
}

// cast adds the shadow of b, the view's right and towards directions given.
func (s *shadow) cast(b body, cam camera, v View) {
	sa, ca := math.Sincos(v.AzimuthDeg * math.Pi / 180)
	flat := affine{
		1, 0, -sunRight*sa - sunAway*ca, 0,
		0, 1, sunRight*ca - sunAway*sa, 0,
		0, 0, 0, 0,
	}
	k := cam.pxPerMM / shadowPx
	m := affine{k, 0, 0, cam.dx / shadowPx, 0, -k, 0, cam.dy / shadowPx, 0, 0, 1, 0}.after(cam.view.after(flat.after(b.place)))
	at := make([]pt, len(b.points))
	inRanges(len(at), func(from, to int) {
		for i := from; i < to; i++ {
			q := m.at(float64(b.points[i][0]), float64(b.points[i][1]), float64(b.points[i][2]))
			at[i] = pt{q[0], q[1]}
		}
	})
	for _, f := range b.faces {
		s.fill(at[f[0]], at[f[1]], at[f[2]])
	}
}

// fill marks the cells whose centres lie in a triangle, and always the cell of
// its first corner, so that a dense mesh leaves no gap.
func (s *shadow) fill(a, b, c pt) {
	if sum := a[0] + a[1] + b[0] + b[1] + c[0] + c[1]; math.IsNaN(sum) || math.IsInf(sum, 0) {
		return
	}
	s.mark(a)
	lo, hi := min(a[1], b[1], c[1]), max(a[1], b[1], c[1])
	if missesSamples(lo, hi) || missesSamples(min(a[0], b[0], c[0]), max(a[0], b[0], c[0])) {
		return
	}
	for y := max(0, int(math.Ceil(lo-0.5))); float64(y)+0.5 <= math.Min(hi, float64(s.h)); y++ {
		x0, x1 := math.Inf(1), math.Inf(-1)
		for _, e := range [3][2]pt{{a, b}, {b, c}, {c, a}} {
			t := (float64(y) + 0.5 - e[0][1]) / (e[1][1] - e[0][1])
			if t >= 0 && t <= 1 {
				x := e[0][0] + t*(e[1][0]-e[0][0])
				x0, x1 = math.Min(x0, x), math.Max(x1, x)
			}
		}
		for x := math.Max(0, math.Ceil(x0-0.5)); x+0.5 <= math.Min(x1, float64(s.w)); x++ {
			s.mask[y*s.w+int(x)] = 1
		}
	}
}

func (s *shadow) mark(a pt) {
	if a[0] >= 0 && a[1] >= 0 && a[0] < float64(s.w) && a[1] < float64(s.h) {
		s.mask[int(a[1])*s.w+int(a[0])] = 1
	}
}

// paint lays the shadow over what is floor, its edge softened by a mean over
// 5 x 5 cells.
func (s *shadow) paint(p *pen) {
	b := p.img.Bounds()
	soft := s.soft()
	g, sh := groundColour(), shadowColour()
	inRanges(b.Dy(), func(from, to int) {
		for y := from; y < to; y++ {
			for x := range b.Dx() {
				v := soft[y/shadowPx*s.w+x/shadowPx]
				if v == 0 {
					continue
				}
				if o := p.img.RGBAAt(x, y); o == g.over() {
					p.img.SetRGBA(x, y, g.mix(sh, float64(v)/25).over())
				}
			}
		}
	})
}

func (s *shadow) soft() []uint8 {
	out := make([]uint8, len(s.mask))
	inRanges(s.h, func(from, to int) {
		for y := from; y < to; y++ {
			for x := range s.w {
				n := uint8(0)
				for j := max(0, y-2); j <= min(s.h-1, y+2); j++ {
					for i := max(0, x-2); i <= min(s.w-1, x+2); i++ {
						n += s.mask[j*s.w+i]
					}
				}
				out[y*s.w+x] = n
			}
		}
	})
	return out
}
