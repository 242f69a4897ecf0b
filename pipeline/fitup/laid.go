package fitup

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// squareDeg is the angle up to which an end counts as cut square: common practice,
// no source; the same as where ends are read from a scan.
const squareDeg = 1.0

// laid is the part where it lies now, with its ends as cut. The axis keeps the
// sense that it had.
func (b *body) laid() stock.Part {
	p := b.part
	p.Dims, p.Ends, p.Hidden = slices.Clone(p.Dims), slices.Clone(p.Ends), slices.Clone(p.Hidden)
	p.Segments = slices.Clone(p.Segments)
	if b.still() {
		return p
	}
	if r3.Norm(p.Frame.Axis) > 0.5 {
		p.Frame = stock.Frame{OriginMM: b.at.at, Axis: b.at.z, Ref: b.at.x}
	}
	for i := range p.Ends {
		if e := &p.Ends[i]; e.Out != (r3.Vec{}) {
			e.AtMM, e.Out = b.at.point(b.scanned.local(e.AtMM)), b.at.dir(b.scanned.localDir(e.Out))
		}
	}
	if b.shape.run != nil {
		b.cutAnew(&p)
	}
	p.BoxMM = b.box()
	return p
}

// still tells a part of which nothing changed.
func (b *body) still() bool {
	return b.at == b.scanned && b.cutAt == [2]int{-1, -1} && b.fitted == [2]bool{} && b.reached == [2]bool{}
}

// cutAnew writes the ends of a long part, and the length and frame that follow.
func (b *body) cutAnew(p *stock.Part) {
	c := b.shape.cuts
	for k := range c {
		if c[k] == nil {
			continue
		}
		at, out, way := c[k].place()
		lean := math.Atan2(r3.Norm(r3.Cross(out, way)), r3.Dot(out, way)) * 180 / math.Pi
		b.writeEnd(p, k, stock.End{AngleDeg: lean, AtMM: b.at.point(at), Out: b.at.dir(out)})
	}
	if c[0] == nil || c[1] == nil {
		return
	}
	from, to := c[0].end(), c[1].end()
	switch run := b.shape.run.(type) {
	case straight:
		set(p, "length_mm", to-from)
		if p.Kind != "profile" || b.cutAt != [2]int{-1, -1} || b.fitted != [2]bool{} {
			p.Frame.OriginMM = b.at.point(r3.Vec{Z: (from + to) / 2})
		}
	case circle:
		set(p, "sweep_deg", (to-from)/run.r*180/math.Pi)
		set(p, "developed_length_mm", to-from)
		start, _ := run.at(from)
		p.Frame.Ref = b.at.dir(unit(start))
	case helix:
		set(p, "turns", (to-from)/(2*math.Pi*run.speed()))
		set(p, "developed_length_mm", to-from)
		p.Frame.OriginMM = b.at.point(r3.Vec{Z: run.rise * (from + to) / 2 / run.speed()})
	case legs:
		b.legEnds(p, run, from, to)
	}
}

// writeEnd changes or adds an end. What a cut made anew is square or a mitre, but
// for one that is cut to fit a round side.
func (b *body) writeEnd(p *stock.Part, k int, e stock.End) {
	e.Kind = "mitre"
	if e.AngleDeg <= squareDeg {
		e.Kind = "square"
	}
	dir := b.shape.cuts[k].dir
	for i, o := range p.Ends {
		if o.Out == (r3.Vec{}) {
			continue
		}
		q := b.at.local(o.AtMM)
		_, t := b.shape.run.at(b.shape.run.foot(q))
		if r3.Dot(b.at.localDir(o.Out), t)*dir > 0 {
			if b.fitted[k] {
				e.Kind = "saddle"
			} else if b.cutAt[k] < 0 {
				e.Kind = o.Kind
			} else if o.Kind == "saddle" || o.Kind == "irregular" {
				e.Kind = o.Kind
			}
			if b.reached[k] && (e.Kind == "square" || e.Kind == "open") {
				e.Kind = "hidden" // as far as it goes, nobody saw it
			}
			p.Ends[i] = e
			return
		}
	}
	if b.cutAt[k] >= 0 {
		p.Ends = append(p.Ends, e)
	}
}

// set writes a dimension; one that was hidden is known once both ends are.
func set(p *stock.Part, key string, v float64) {
	for i := range p.Dims {
		if p.Dims[i].Key == key {
			p.Dims[i].Value = v
			return
		}
	}
	if i := slices.Index(p.Hidden, key); i >= 0 {
		p.Hidden = slices.Delete(p.Hidden, i, i+1)
		p.Dims = append(p.Dims, stock.Dim{Key: key, Value: v})
	}
}

// legEnds writes the first and last leg of a compound bend anew.
func (b *body) legEnds(p *stock.Part, run legs, from, to float64) {
	set(p, "developed_length_mm", to-from)
	for _, x := range []struct {
		i   int
		len float64
	}{{0, run[0].len - from}, {len(run) - 1, to - run[len(run)-1].s0}} {
		if x.i >= len(p.Segments) {
			return
		}
		s := &p.Segments[x.i]
		s.Dims = slices.Clone(s.Dims)
		whole := stock.Part{Dims: s.Dims}
		if b.reached[min(x.i, 1)] { // then its length is known
			whole.Hidden = []string{"length_mm", "sweep_deg"}
		}
		if s.Kind == "arc" {
			set(&whole, "sweep_deg", x.len/run[x.i].r*180/math.Pi)
		} else {
			set(&whole, "length_mm", x.len)
		}
		s.Dims = whole.Dims
	}
}

// box is the part's box along SITE's axes: of places on its surface, round ones
// at 5°, so that it may be short by 0.1 % of a radius. A freeform's box is that
// of its old box's corners.
func (b *body) box() [2]r3.Vec {
	s := *b.shape
	if s.run != nil && len(s.edges) > 0 {
		s.edges = nil
		if b.part.Kind != "profile" {
			s.rodEdges(s.cuts[0].radius)
		} else {
			s.profileEdges(newOutline(b.part.Outline))
		}
	}
	if out, ok := s.box(b.at); ok {
		return out
	}
	old := shape{}
	lo, hi := b.part.BoxMM[0], b.part.BoxMM[1]
	for k := range 8 {
		q := r3.Vec{X: pick(k&1, lo.X, hi.X), Y: pick(k>>1&1, lo.Y, hi.Y), Z: pick(k>>2, lo.Z, hi.Z)}
		old.edges = append(old.edges, b.scanned.local(q))
	}
	out, _ := old.box(b.at)
	return out
}
