package rig

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Places for lugs that are looked at: of a piece before and after those that other
// pieces cover are left out, and in all, so that every three can be tried.
const (
	lugsOfPiece = 24
	lugsInAll   = 40
)

// lugPlaces are points of the bodies on which a lug can stand and be reached from
// straight above: where the piece looks up nearly as much as it does anywhere, and
// by at least 20°, over the height z, spread as widely as can be; only of the pieces
// named, of all where on is nil.
func lugPlaces(bodies []Body, z float64, on []string) []Lug {
	var out []Lug
	all := newObstacles(bodies)
	for _, b := range bodies {
		if on != nil && !slices.Contains(on, b.ID) {
			continue
		}
		points := spreadOut(topOf(b, z), lugsOfPiece)
		for _, p := range points {
			if !all.blocked(r3.Add(p, up), r3.Vec{X: p.X, Y: p.Y, Z: p.Z + 1e6}) {
				out = append(out, Lug{b.ID, p})
			}
		}
	}
	if len(out) <= lugsInAll {
		return out
	}
	at := map[r3.Vec]Lug{}
	var points []r3.Vec
	for _, l := range slices.Backward(out) {
		at[l.AtMM] = l
	}
	for _, l := range out {
		points = append(points, l.AtMM)
	}
	var kept []Lug
	for _, p := range spreadOut(points, lugsInAll) {
		kept = append(kept, at[p])
	}
	return kept
}

// straightAbove is where a body first meets what comes straight down on a point, of
// those of lugPlaces; none where it looks up by less than 20° there.
func straightAbove(bodies []Body, c r3.Vec, on []string) []Lug {
	var best *Lug
	for _, b := range bodies {
		for _, t := range b.Triangles {
			p, q, r := b.Points[t[0]], b.Points[t[1]], b.Points[t[2]]
			n := r3.Cross(r3.Sub(q, p), r3.Sub(r, p))
			w, inside := weights(p, q, r, c)
			z := w[0]*p.Z + w[1]*q.Z + w[2]*r.Z
			if !inside || z < c.Z || best != nil && z <= best.AtMM.Z {
				continue
			}
			best = &Lug{b.ID, r3.Vec{X: c.X, Y: c.Y, Z: z}}
			if n.Z < r3.Norm(n)*math.Sin(20*deg) || on != nil && !slices.Contains(on, b.ID) {
				best.Body = ""
			}
		}
	}
	if best == nil || best.Body == "" {
		return nil
	}
	return []Lug{*best}
}

// topOf are corners, middles of edges and of triangles that look up, over z.
func topOf(b Body, z float64) []r3.Vec {
	rise := make([]float64, len(b.Triangles))
	most := 0.0
	for i, t := range b.Triangles {
		n := r3.Cross(r3.Sub(b.Points[t[1]], b.Points[t[0]]), r3.Sub(b.Points[t[2]], b.Points[t[0]]))
		if size := r3.Norm(n); size > 0 {
			rise[i] = n.Z / size
		}
		most = max(most, rise[i])
	}
	least := max(most-0.05, math.Sin(20*deg))
	var out []r3.Vec
	for i, t := range b.Triangles {
		if rise[i] < least {
			continue
		}
		p := [3]r3.Vec{b.Points[t[0]], b.Points[t[1]], b.Points[t[2]]}
		out = append(out, r3.Scale(1./3, r3.Add(p[0], r3.Add(p[1], p[2]))))
		for k := range 3 {
			out = append(out, p[k], r3.Scale(0.5, r3.Add(p[k], p[(k+1)%3])))
		}
	}
	out = slices.DeleteFunc(out, func(p r3.Vec) bool { return p.Z < z })
	slices.SortFunc(out, comparePlaces)
	return slices.Compact(out)
}

// comparePlaces puts high places first.
func comparePlaces(a, b r3.Vec) int {
	return cmp.Or(cmp.Compare(b.Z, a.Z), cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y))
}

// spreadOut keeps n points: the first, then each time the one farthest from all
// that are kept.
func spreadOut(points []r3.Vec, n int) []r3.Vec {
	if len(points) <= n {
		return points
	}
	away := make([]float64, len(points))
	for i := range away {
		away[i] = math.Inf(1)
	}
	out := points[:1:1]
	for len(out) < n {
		far := 0
		for i, p := range points {
			away[i] = min(away[i], r3.Norm2(r3.Sub(p, out[len(out)-1])))
			if away[i] > away[far] {
				far = i
			}
		}
		if away[far] == 0 {
			break
		}
		out = append(out, points[far])
	}
	return out
}

// obstacles are bodies with their boxes, so that most need no look at their
// triangles.
type obstacles struct {
	bodies []Body
	boxes  [][2]r3.Vec
}

func newObstacles(bodies []Body) obstacles {
	o := obstacles{bodies: bodies}
	for _, b := range bodies {
		lo, hi := boxOf([]Body{b})
		o.boxes = append(o.boxes, [2]r3.Vec{lo, hi})
	}
	return o
}

// blocked tells whether a straight way meets a body.
func (o obstacles) blocked(from, to r3.Vec) bool {
	way := r3.Sub(to, from)
	for i, b := range o.bodies {
		if !meetsBox(o.boxes[i], from, to) {
			continue
		}
		for _, t := range b.Triangles {
			if crosses(&b.Points[t[0]], &b.Points[t[1]], &b.Points[t[2]], &from, &way) {
				return true
			}
		}
	}
	return false
}

// meetsBox is false only where a segment passes a box by: it is cut by the three
// pairs of planes in turn.
func meetsBox(box [2]r3.Vec, from, to r3.Vec) bool {
	lo, hi := [3]float64{box[0].X, box[0].Y, box[0].Z}, [3]float64{box[1].X, box[1].Y, box[1].Z}
	a, d := [3]float64{from.X, from.Y, from.Z}, [3]float64{to.X - from.X, to.Y - from.Y, to.Z - from.Z}
	start, end := 0.0, 1.0
	for k := range 3 {
		if d[k] == 0 {
			if a[k] < lo[k] || a[k] > hi[k] {
				return false
			}
			continue
		}
		s, e := (lo[k]-a[k])/d[k], (hi[k]-a[k])/d[k]
		start, end = max(start, min(s, e)-1e-9), min(end, max(s, e)+1e-9)
	}
	return start <= end
}

// crosses tells whether a way from a point meets a triangle (Möller and Trumbore, J.
// Graphics Tools 2, 1997, 21). Most triangles lie beside it.
func crosses(a, b, c, from, way *r3.Vec) bool {
	e, f := r3.Sub(*b, *a), r3.Sub(*c, *a)
	p := r3.Cross(*way, f)
	det := r3.Dot(e, p)
	if det == 0 {
		return false
	}
	s := r3.Sub(*from, *a)
	u := r3.Dot(s, p) / det
	if !(u >= 0 && u <= 1) {
		return false
	}
	q := r3.Cross(s, e)
	v, w := r3.Dot(*way, q)/det, r3.Dot(f, q)/det
	return v >= 0 && u+v <= 1 && w >= 0 && w <= 1
}
