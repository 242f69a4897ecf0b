package fitup

import (
	"cmp"
	"context"
	"math"
	"slices"

	"pointup/pipeline/stock"
)

// conflicts names what cannot close.
//
// Contacts that cannot all close pull at each other: at the least sum of squares
// each has a part of what is missing. Those that share a part free to move, with
// some of it left, are one knot. Of a knot, as long as what is left still cannot
// close, contacts and relations are let go; what remains is a set of which every
// member is needed (Chinneck, Feasibility and Infeasibility in Optimization, 2008:
// the deletion filter). Whether a set can close is told by laying it out alone.
func (m *model) conflicts(ctx context.Context, joints []Joint) []Conflict {
	f := m.filter()
	open := make([]bool, len(joints))
	for k, j := range joints {
		open[k] = left(j) > m.opt.CloseMM*strainShare && (j.Way != "through" || m.held(k))
	}
	var out []Conflict
	for _, set := range m.joined(open) {
		for widest(set, joints) > m.opt.CloseMM {
			c := m.conflict(ctx, f, set, joints)
			out = append(out, c)
			set = slices.DeleteFunc(set, func(k int) bool { return slices.Contains(c.Contacts, k) })
			if !c.Minimal || !f.open(ctx, set, f.all()) {
				break // the rest closes without these
			}
		}
	}
	return out
}

// strainShare of CloseMM is how far open a contact is that pulls at others; motion
// alone leaves less.
const strainShare = 0.1

// left is what of a joint is not closed.
func left(j Joint) float64 {
	if j.Way == "through" {
		return j.OffMM
	}
	return math.Abs(j.GapMM)
}

func widest(set []int, joints []Joint) float64 {
	worst := 0.0
	for _, k := range set {
		worst = max(worst, left(joints[k]))
	}
	return worst
}

// held tells a part that passes through a bore or hole of its own.
func (m *model) held(k int) bool {
	for _, x := range m.keeps {
		if x.contact == k {
			return x.held
		}
	}
	return false
}

// trialsMost bounds how often an assembly of up to trialsParts is laid out again to
// narrow its conflicts down, larger ones less often by the cube; beyond it a conflict
// is named with all that takes part.
const (
	trialsMost  = 150
	trialsParts = 60
)

// conflict narrows a knot down.
func (m *model) conflict(ctx context.Context, f *filter, set []int, joints []Joint) Conflict {
	c := Conflict{WorstMM: widest(set, joints), Contacts: slices.Clone(set)}
	for _, k := range set {
		if left(joints[k]) > m.opt.CloseMM {
			c.Open = append(c.Open, k)
		}
	}
	all := f.all()
	if f.open(ctx, set, all) {
		set = slices.Clone(set)
		slices.SortStableFunc(set, func(a, b int) int { return cmp.Compare(left(joints[a]), left(joints[b])) })
		contacts := narrowed(set, func(list []int) bool { return f.open(ctx, list, all) }) // the least strained go first
		relations := narrowed(all, func(list []int) bool { return f.open(ctx, contacts, list) })
		if f.trials <= f.most && ctx.Err() == nil {
			c.Contacts, c.Relations, c.Minimal = contacts, relations, true
			slices.Sort(c.Contacts)
		}
	}
	for _, k := range c.Contacts {
		c.Parts = append(c.Parts, joints[k].A, joints[k].B)
	}
	slices.Sort(c.Parts)
	c.Parts = slices.Compact(c.Parts)
	return c
}

// narrowed lets members of a set go as long as what is left still fails: halves
// first, then one by one.
func narrowed(set []int, fails func([]int) bool) []int {
	kept := slices.Clone(set)
	for size := (len(kept) + 1) / 2; size > 0; size /= 2 {
		for from := 0; from < len(kept); {
			less := slices.Delete(slices.Clone(kept), from, min(from+size, len(kept)))
			if fails(less) {
				kept = less
				continue
			}
			from += size
		}
	}
	return kept
}

// filter tells which contacts and relations can hold together, by laying out the
// assembly with these alone.
type filter struct {
	m           *model
	scan, sized []stock.Part
	trials      int
	most        int
}

func (m *model) filter() *filter {
	f := &filter{m: m, most: trialsMost}
	if k := float64(len(m.bodies)) / trialsParts; k > 1 {
		f.most = int(trialsMost / (k * k * k))
	}
	for _, b := range m.bodies {
		f.scan, f.sized = append(f.scan, b.was), append(f.sized, b.part)
	}
	return f
}

// all are the numbers of all relations.
func (f *filter) all() []int {
	out := make([]int, len(f.m.relations))
	for k := range out {
		out[k] = k
	}
	return out
}

// open tells whether one of the contacts stays open.
func (f *filter) open(ctx context.Context, contacts, relations []int) bool {
	if f.trials++; f.trials > f.most || len(contacts) == 0 {
		return false
	}
	var c []stock.Contact
	var r []stock.Relation
	for _, k := range contacts {
		c = append(c, f.m.contacts[k])
	}
	for _, k := range relations {
		r = append(r, f.m.relations[k])
	}
	opt := f.m.opt
	if f.m.datum >= 0 {
		opt.Datum = f.m.bodies[f.m.datum].was.ID
	}
	m, err := newModel(f.scan, f.sized, c, r, opt)
	if err != nil {
		return false
	}
	if _, err := m.settleAll(ctx); err != nil {
		return false
	}
	for k, j := range m.joints() {
		if left(j) > f.m.opt.CloseMM && (j.Way != "through" || m.held(k)) {
			return true
		}
	}
	return false
}

// joined gathers contacts that share a part free to move, or of which such parts are
// in one relation.
func (m *model) joined(open []bool) [][]int {
	set := make([]int, len(open))
	for i := range set {
		set[i] = i
	}
	at := map[int]int{}
	for k, c := range m.contacts {
		if !open[k] {
			continue
		}
		for _, p := range []int{c.A, c.B} {
			if m.bodies[p].fixed {
				continue
			}
			if o, ok := at[p]; ok {
				merge(set, o, k)
			}
			at[p] = k
		}
	}
	for _, r := range m.relations {
		last := -1
		for _, p := range slices.Concat(r.Parts, r.To) {
			o, ok := at[p]
			if ok && last >= 0 {
				merge(set, last, o)
			}
			if ok {
				last = o
			}
		}
	}
	var out [][]int
	for k := range open {
		if !open[k] || set[k] != k {
			continue
		}
		var list []int
		for i := range set {
			if open[i] && set[i] == k {
				list = append(list, i)
			}
		}
		out = append(out, list)
	}
	return out
}

// merge gives all of two sets the lower number.
func merge(set []int, a, b int) {
	from, to := max(set[a], set[b]), min(set[a], set[b])
	for i := range set {
		if set[i] == from {
			set[i] = to
		}
	}
}
