package assembly

import (
	"math"
	"slices"
	"strings"

	"pointup/segment/primitive"
)

// equal finds pieces that are the same in every dimension, then sizes that
// pieces which are not the same share.
func (r *relating) equal() []Relation {
	var whole family
	for i := range r.f {
		for j := i + 1; j < len(r.f); j++ {
			if residual, within, chance, ok := alike(r.f[i].b.e, r.f[j].b.e); ok {
				whole.try(i, j, residual, within, chance)
			}
		}
	}
	out := whole.relations("equal", "piece", "mm")
	for _, x := range out {
		r.same = append(r.same, x.Bodies)
	}
	keys := r.keys()
	list := make([]family, len(keys))
	var all family // sizes of every name are one kind of relation
	for k, key := range keys {
		list[k] = r.sizes(key)
		all.held, all.chance = append(all.held, list[k].held...), all.chance+list[k].chance
	}
	if all.share() > chanceShare {
		return out
	}
	for k, key := range keys {
		for _, g := range list[k].groups() {
			x := Relation{Kind: "equal", Of: key, Bodies: g.members, Residual: g.residual, Within: g.within, Unit: "mm", Chance: all.share()}
			for _, i := range x.Bodies {
				d, _ := r.f[i].b.e.Dim(key)
				x.Value += d / float64(len(x.Bodies))
			}
			out = append(out, x)
		}
	}
	return out
}

// alike compares two pieces in every dimension: the dimension worst by its own
// uncertainty gives residual and within; ok is false where kinds, keys or counts
// differ.
func alike(a, b *primitive.Element) (residual, within, chance float64, ok bool) {
	if a.Kind != b.Kind || a.Section != b.Section || a.Hand != b.Hand || len(a.Dims) != len(b.Dims) || a.Kind == "freeform" || len(a.Dims) == 0 {
		return 0, 0, 0, false
	}
	chance, worst := 1.0, -1.0
	for k, x := range a.Dims {
		y := b.Dims[k]
		switch {
		case x.Key != y.Key || x.Count && x.Value != y.Value:
			return 0, 0, 0, false
		case x.Count:
			continue
		}
		d, u := math.Abs(x.Value-y.Value), sizeWithin(x, y)
		if d/u > worst {
			worst, residual, within = d/u, d, u
		}
		if independent(x.Key) {
			chance *= min(2*u/(math.Abs(x.Value)*math.Ln10), 1)
		}
	}
	return residual, within, chance, worst >= 0
}

// independent tells a dimension that does not follow from others.
func independent(key string) bool {
	return key != "wall_mm" && !strings.HasPrefix(key, "developed_")
}

func sizeWithin(x, y primitive.Dimension) float64 {
	return max(joint(x.U95, y.U95), sizeLeastMM)
}

// keys are the lengths that some piece has, in alphabetical order.
func (r *relating) keys() []string {
	var out []string
	for i := range r.f {
		for _, d := range r.f[i].b.e.Dims {
			if !d.Count && d.U95 > 0 && strings.HasSuffix(d.Key, "_mm") && independent(d.Key) {
				out = append(out, d.Key)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// sizes compares one dimension of all pieces that have it, but of equal pieces.
func (r *relating) sizes(key string) family {
	var fam family
	find := func(e *primitive.Element) (primitive.Dimension, bool) {
		for _, d := range e.Dims {
			if d.Key == key && d.U95 > 0 && d.Value > 0 && e.Kind != "freeform" {
				return d, true
			}
		}
		return primitive.Dimension{}, false
	}
	for i := range r.f {
		x, ok := find(r.f[i].b.e)
		if !ok {
			continue
		}
		for j := i + 1; j < len(r.f); j++ {
			if y, ok := find(r.f[j].b.e); ok && !r.together([]int{i, j}) {
				u := sizeWithin(x, y)
				fam.try(i, j, math.Abs(x.Value-y.Value), u, 2*u/(x.Value*math.Ln10))
			}
		}
	}
	return fam
}

// together tells whether bodies are all of one group of equal pieces.
func (r *relating) together(bodies []int) bool {
	for _, s := range r.same {
		all := true
		for _, b := range bodies {
			all = all && slices.Contains(s, b)
		}
		if all {
			return true
		}
	}
	return false
}
