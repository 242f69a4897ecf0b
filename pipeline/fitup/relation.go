package fitup

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// values are what a relation says must be 0, mm at full size; those of directions
// are sines times the half-length of a part. None where nothing in it moves a
// part: sizes are stock's, and a tangent is a touch.
func (m *model) values(k int) []float64 {
	r := m.relations[k]
	var out []float64
	switch r.Kind {
	case "parallel":
		for _, i := range others(r.Parts) {
			out = append(out, m.leaning(r.Parts[0], i)...)
		}
	case "perpendicular":
		for _, p := range perpendiculars(r) {
			a, b := m.bodies[p[0]], m.bodies[p[1]]
			out = append(out, r3.Dot(a.at.z, b.at.z)*min(a.reachMM, b.reachMM))
		}
	case "coaxial":
		for _, i := range others(r.Parts) {
			w := m.bodies[r.Parts[0]].at.local(m.bodies[i].at.at)
			out = append(append(out, m.leaning(r.Parts[0], i)...), w.X, w.Y)
		}
	case "coplanar":
		for _, i := range others(r.Parts) {
			w := m.bodies[r.Parts[0]].at.local(m.bodies[i].at.at)
			out = append(append(out, m.leaning(r.Parts[0], i)...), w.Z-m.flush(r, i))
		}
	case "equal":
		if r.Of == "piece" || r.Of == "length_mm" {
			out = m.lengths(r)
		}
	case "equally_spaced":
		out = m.spacing(r)
	case "mirrored":
		for i := range m.mirrors {
			if m.mirrors[i].relation == k {
				out = m.mirrors[i].values(m)
			}
		}
	}
	return out
}

func others(parts []int) []int {
	if len(parts) < 2 {
		return nil
	}
	return parts[1:]
}

// leaning are the two components of a part's axis square to another's.
func (m *model) leaning(base, i int) []float64 {
	a, b := m.bodies[base], m.bodies[i]
	d := a.at.localDir(b.at.z)
	l := min(a.reachMM, b.reachMM)
	return []float64{d.X * l, d.Y * l}
}

// perpendiculars are the pairs that make two parallel groups perpendicular.
func perpendiculars(r stock.Relation) [][2]int {
	var out [][2]int
	if len(r.Parts) == 0 || len(r.To) == 0 {
		for i, a := range r.Parts {
			for _, b := range r.Parts[i+1:] {
				out = append(out, [2]int{a, b})
			}
		}
		return out
	}
	for _, b := range r.To {
		out = append(out, [2]int{r.Parts[0], b})
	}
	for _, a := range r.Parts[1:] {
		out = append(out, [2]int{a, r.To[0]})
	}
	return out
}

// flush is the height between two middles whose planes are one: 0, or where faces
// are flush, the half-thicknesses added or taken off as in the scan.
func (m *model) flush(r stock.Relation, i int) float64 {
	if r.Of != "face" {
		return 0
	}
	a, b := m.bodies[r.Parts[0]], m.bodies[i]
	was := a.scanned.local(b.scanned.at).Z
	half := func(p stock.Part) float64 { return (sizes{p}).mm("thickness_mm") / 2 }
	best, out := math.Inf(1), 0.0
	for _, sign := range [][2]float64{{1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
		if d := math.Abs(was - sign[0]*half(a.was) - sign[1]*half(b.was)); d < best {
			best, out = d, sign[0]*half(a.part)+sign[1]*half(b.part)
		}
	}
	return out
}

// lengths compares straight parts that can be cut, or whose length is fixed.
func (m *model) lengths(r stock.Relation) []float64 {
	var list []int
	for _, i := range r.Parts {
		if _, ok := m.bodies[i].shape.run.(straight); ok && m.bodies[i].shape.cuts[0] != nil && m.bodies[i].shape.cuts[1] != nil {
			list = append(list, i)
		}
	}
	length := func(i int) float64 {
		c := m.bodies[i].shape.cuts
		return c[1].end() - c[0].end()
	}
	var out []float64
	for _, i := range others(list) {
		out = append(out, length(i)-length(list[0]))
	}
	return out
}

// mid is a part's origin: of a straight one the middle between its ends.
func (m *model) mid(i int) r3.Vec {
	b := m.bodies[i]
	if _, ok := b.shape.run.(straight); ok && b.shape.cuts[0] != nil && b.shape.cuts[1] != nil {
		return b.at.point(r3.Vec{Z: (b.shape.cuts[0].end() + b.shape.cuts[1].end()) / 2})
	}
	return b.at.at
}

// spacing: along a line, each middle lies half-way between its neighbours. Round a
// circle of n, with y from the common middle and turn t = 360°/n: neighbours add
// up to 2 cos t times the one between, which a turn of an ellipse would also do,
// and two neighbours are of one length and t apart.
func (m *model) spacing(r stock.Relation) []float64 {
	list := m.order(r)
	n := len(list)
	if n < 3 {
		return nil
	}
	at := make([]r3.Vec, n)
	var mean r3.Vec
	for k, i := range list {
		at[k] = m.mid(i)
		mean = r3.Add(mean, r3.Scale(1/float64(n), at[k]))
	}
	var out []float64
	add := func(v r3.Vec) { out = append(out, v.X, v.Y, v.Z) }
	if r.Of == "line" {
		for k := 1; k < n-1; k++ {
			add(r3.Sub(r3.Scale(0.5, r3.Add(at[k-1], at[k+1])), at[k]))
		}
		return out
	}
	y := func(k int) r3.Vec { return r3.Sub(at[(k+n)%n], mean) }
	cos := math.Cos(2 * math.Pi / float64(n))
	for k := range n {
		add(r3.Sub(r3.Scale(0.5, r3.Add(y(k-1), y(k+1))), r3.Scale(cos, y(k))))
	}
	l := max(r3.Norm(y(0)), 1)
	return append(out, (r3.Norm2(y(0))-r3.Norm2(y(1)))/(2*l), (r3.Dot(y(0), y(1))-cos*r3.Norm2(y(0)))/l)
}

// order sorts equally spaced parts along their line or round their circle, as
// scanned.
func (m *model) order(r stock.Relation) []int {
	at := func(i int) r3.Vec { return m.bodies[i].scanned.at }
	list := slices.Clone(r.Parts)
	n := float64(len(list))
	var mean, far, turn r3.Vec
	for _, i := range list {
		mean = r3.Add(mean, r3.Scale(1/n, at(i)))
	}
	for _, i := range list {
		if w := r3.Sub(at(i), mean); r3.Norm(w) > r3.Norm(far)+1e-9 {
			far = w
		}
	}
	for _, i := range list {
		if c := r3.Cross(far, r3.Sub(at(i), mean)); r3.Norm(c) > r3.Norm(turn)+1e-9 {
			turn = c
		}
	}
	e, f := unit(far), unit(r3.Cross(turn, far))
	key := func(i int) float64 {
		w := r3.Sub(at(i), mean)
		if r.Of == "line" {
			return r3.Dot(w, e)
		}
		return math.Atan2(r3.Dot(w, f), r3.Dot(w, e))
	}
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(key(a), key(b)) })
	return list
}
