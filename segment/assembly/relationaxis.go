package assembly

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// between is the angle of two axes, 0 to 90 degrees, in rad, and its uncertainty.
func between(a, b feature) (angle, within float64) {
	return math.Atan2(r3.Norm(r3.Cross(a.axis, b.axis)), math.Abs(r3.Dot(a.axis, b.axis))), joint(a.tilt, b.tilt)
}

// directions finds axes that are parallel, in groups, and groups that are
// perpendicular.
func (r *relating) directions() []Relation {
	var par, per family
	for i, a := range r.f {
		for j := i + 1; j < len(r.f); j++ {
			b := r.f[j]
			if a.axis == (r3.Vec{}) || b.axis == (r3.Vec{}) {
				continue
			}
			angle, within := between(a, b)
			par.try(i, j, angle, within, 1-math.Cos(within))
			per.try(i, j, math.Pi/2-angle, within, math.Sin(within))
		}
	}
	var out []Relation
	set := make([]int, len(r.f)) // the parallel group of a body, or its own
	for i := range set {
		set[i] = i
	}
	if par.share() <= chanceShare {
		for _, g := range par.groups() {
			for _, i := range g.members {
				set[i] = g.members[0]
			}
			out = append(out, Relation{Kind: "parallel", Of: "axis", Bodies: g.members, Residual: deg(g.residual), Within: deg(g.within), Unit: "deg", Chance: par.share()})
		}
	}
	if per.share() > chanceShare {
		return out
	}
	return append(out, perpendiculars(per, set)...)
}

// perpendiculars lists one relation for two groups of parallel axes.
func perpendiculars(per family, set []int) []Relation {
	var out []Relation
	at := map[[2]int]int{}
	for _, p := range per.held {
		a, b := set[p.i], set[p.j]
		key := [2]int{min(a, b), max(a, b)}
		k, ok := at[key]
		if !ok {
			k = len(out)
			at[key] = k
			out = append(out, Relation{Kind: "perpendicular", Of: "axis", Bodies: membersOf(set, key[0]), To: membersOf(set, key[1]), Unit: "deg", Chance: per.share()})
		}
		if x := deg(p.residual); x >= out[k].Residual {
			out[k].Residual, out[k].Within = x, deg(p.within)
		}
	}
	return out
}

func membersOf(set []int, k int) []int {
	var out []int
	for i, s := range set {
		if s == k {
			out = append(out, i)
		}
	}
	return out
}

// coaxial finds pieces of revolution about one axis.
func (r *relating) coaxial() []Relation {
	var fam family
	for i, a := range r.f {
		for j := i + 1; j < len(r.f); j++ {
			b := r.f[j]
			if !a.round || !b.round {
				continue
			}
			angle, tilt := between(a, b)
			w := r3.Sub(b.at, a.at)
			apart := r3.Norm(w)
			off, within := r3.Norm(across(w, a.axis)), joint(math.Hypot(a.placeMM, b.placeMM), a.tilt*apart)
			if o, u := r3.Norm(across(w, b.axis)), joint(math.Hypot(a.placeMM, b.placeMM), b.tilt*apart); u < within {
				off, within = o, u
			}
			chance := (1 - math.Cos(tilt)) * math.Pi * within * within / (r.spanMM * r.spanMM)
			if angle > tilt {
				off = math.Inf(1)
			}
			fam.try(i, j, off, within, chance)
		}
	}
	return fam.relations("coaxial", "axis", "mm")
}

func (f *family) relations(kind, of, unit string) []Relation {
	if f.share() > chanceShare {
		return nil
	}
	var out []Relation
	for _, g := range f.groups() {
		out = append(out, Relation{Kind: kind, Of: of, Bodies: g.members, Residual: g.residual, Within: g.within, Unit: unit, Chance: f.share()})
	}
	return out
}

// coplanar finds flat pieces and rings whose middle planes, or faces, are one.
func (r *relating) coplanar() []Relation {
	var middle, face family
	for i, a := range r.f {
		for j := i + 1; j < len(r.f); j++ {
			b := r.f[j]
			if a.halfMM < 0 || b.halfMM < 0 {
				continue
			}
			angle, tilt := between(a, b)
			w := r3.Sub(b.at, a.at)
			aside := r3.Norm(across(w, a.axis))
			h := math.Abs(r3.Dot(w, a.axis))
			within := joint(math.Hypot(a.placeMM, b.placeMM), min(a.tilt, b.tilt)*aside)
			chance := (1 - math.Cos(tilt)) * 2 * within / r.spanMM
			step := min(math.Abs(h-a.halfMM-b.halfMM), math.Abs(h-math.Abs(a.halfMM-b.halfMM)))
			if angle > tilt {
				h, step = math.Inf(1), math.Inf(1)
			}
			middle.try(i, j, h, within, chance)
			if a.halfMM > 0 && b.halfMM > 0 && h > within {
				face.try(i, j, step, within, 2*chance)
			}
		}
	}
	return append(middle.relations("coplanar", "middle plane", "mm"), face.relations("coplanar", "face", "mm")...)
}

// tangent lists contacts at a point or along a line whose gap is nothing within
// uncertainty.
func (r *relating) tangent(contacts []Contact) []Relation {
	var fam family
	n := float64(len(r.f) * (len(r.f) - 1) / 2)
	for _, c := range contacts {
		if c.Kind == "point" || c.Kind == "line" {
			within := joint(r.f[c.A].placeMM, r.f[c.B].placeMM)
			fam.try(c.A, c.B, math.Abs(c.GapMM), within, 0)
			fam.chance = n * 2 * within / r.spanMM
		}
	}
	if fam.share() > chanceShare {
		return nil
	}
	var out []Relation
	for _, p := range fam.held {
		out = append(out, Relation{Kind: "tangent", Of: "surface", Bodies: []int{p.i, p.j}, Residual: p.residual, Within: p.within, Unit: "mm", Chance: fam.share()})
	}
	return out
}
