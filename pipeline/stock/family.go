package stock

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// likeShare and likeMM: pieces of one size in a maquette differ by their mills'
	// tolerances; on top of u95 half a percent, at most 2 mm at full size, tells
	// nothing. Common practice, no source.
	likeShare = 0.005
	likeMM    = 2.0
	// likeChance: pieces are told apart where chance would part like ones in one
	// family of a hundred.
	likeChance = 0.01
	// likeSpread keeps a poor scan from making all pieces one family: no two that
	// differ by more than stock may change them (the contract's 3 %).
	likeSpread = 0.03
)

// Families groups parts that are to have one size of stock: those of one class
// whose leading sizes agree within their uncertainty (χ² of the group about its
// mean, merged in order of falling probability), then those that the relations say
// are equal. Pinned and existing parts stand apart. Order: by lowest member.
func Families(parts []Part, relations []Relation) []Family {
	g := grouping{parts: parts}
	for i, p := range parts {
		g.demand = append(g.demand, demandOf(p))
		g.add(i)
	}
	g.merge()
	g.relate(relations)
	var out []Family
	for _, members := range g.sorted() {
		f := Family{Class: g.demand[members[0]].class, Members: members, Lead: g.mean(members), Pin: parts[members[0]].Pin, Made: parts[members[0]].Made}
		f.Letter = letters(len(out))
		f.Marks = marksOf(parts, f)
		out = append(out, f)
	}
	return out
}

// letters counts A … Z, AA, AB …
func letters(n int) string {
	s := ""
	for n++; n > 0; n = (n - 1) / 26 {
		s = string(rune('A'+(n-1)%26)) + s
	}
	return s
}

// grouping merges clusters of parts.
type grouping struct {
	parts   []Part
	demand  []demand
	cluster [][]int
}

func (g *grouping) add(i int) { g.cluster = append(g.cluster, []int{i}) }

// comparable tells whether parts may be one family at all.
func (g *grouping) comparable(i, j int) bool {
	a, b := g.demand[i], g.demand[j]
	return a.class == b.class && a.class != "free" && len(a.lead) == len(b.lead) && g.parts[i].Made == g.parts[j].Made &&
		markKey(g.parts[i].Pin) == markKey(g.parts[j].Pin)
}

// relate joins parts that a relation says are equal in all, or in their lead.
func (g *grouping) relate(relations []Relation) {
	for _, r := range relations {
		if r.Kind != "equal" {
			continue
		}
		for k := 1; k < len(r.Parts); k++ {
			a, b := r.Parts[0], r.Parts[k]
			if !g.known(a) || !g.known(b) || !g.comparable(a, b) || r.Of != "piece" && !(len(g.demand[a].lead) == 1 && g.demand[a].lead[0].Key == r.Of) {
				continue
			}
			if i, j := g.of(a), g.of(b); i != j && g.spread(append(slices.Clone(g.cluster[i]), g.cluster[j]...)) <= likeSpread {
				g.join(min(i, j), max(i, j))
			}
		}
	}
}

func (g *grouping) known(part int) bool { return part >= 0 && part < len(g.parts) }

func (g *grouping) of(part int) int {
	return slices.IndexFunc(g.cluster, func(c []int) bool { return slices.Contains(c, part) })
}

// join puts cluster j to i < j.
func (g *grouping) join(i, j int) {
	g.cluster[i] = append(g.cluster[i], g.cluster[j]...)
	slices.Sort(g.cluster[i])
	g.cluster = slices.Delete(g.cluster, j, j+1)
}

// merge joins the two clusters that agree best until none do.
func (g *grouping) merge() {
	n := len(g.cluster)
	chance := make([][]float64, n) // chance[j][i], i < j
	for j := range n {
		chance[j] = make([]float64, j)
		for i := range j {
			chance[j][i] = g.agree(i, j)
		}
	}
	for {
		bi, bj, best := -1, -1, likeChance
		for j := range chance {
			for i, p := range chance[j] {
				if p > best {
					bi, bj, best = i, j, p
				}
			}
		}
		if bi < 0 {
			return
		}
		g.join(bi, bj)
		chance = slices.Delete(chance, bj, bj+1)
		for j := bj; j < len(chance); j++ {
			chance[j] = slices.Delete(chance[j], bj, bj+1)
		}
		for k := range chance {
			if k < bi {
				chance[bi][k] = g.agree(k, bi)
			} else if k > bi {
				chance[k][bi] = g.agree(bi, k)
			}
		}
	}
}

// agree is the probability that like pieces scatter as much as these, 0 where
// they may not be one family.
func (g *grouping) agree(i, j int) float64 {
	a, b := g.cluster[i], g.cluster[j]
	if !g.comparable(a[0], b[0]) {
		return 0
	}
	all := append(slices.Clone(a), b...)
	if g.spread(all) > likeSpread {
		return 0
	}
	slices.Sort(all)
	mean, sum := g.mean(all), 0.0
	for k, m := range mean {
		for _, p := range all {
			l := g.demand[p].lead[k]
			d := (l.ValueMM - m.ValueMM) / l.sigma()
			sum += d * d
		}
	}
	if len(mean) == 0 {
		return 1
	}
	return distuv.ChiSquared{K: float64(len(mean) * (len(all) - 1))}.Survival(sum)
}

// spread is the greatest difference of a leading size within a group, as a share.
func (g *grouping) spread(members []int) float64 {
	most := 0.0
	for k := range g.demand[members[0]].lead {
		lo, hi := math.Inf(1), 0.0
		for _, p := range members {
			x := g.demand[p].lead[k].ValueMM
			lo, hi = min(lo, x), max(hi, x)
		}
		most = max(most, hi/lo-1)
	}
	return most
}

// sigma is the standard uncertainty of a lead, with the scatter of like pieces.
func (l Lead) sigma() float64 {
	return math.Hypot(l.U95MM, min(likeShare*l.ValueMM, likeMM)) / 1.96
}

// mean weighs the members' sizes by their certainty.
func (g *grouping) mean(members []int) []Lead {
	var out []Lead
	for k, first := range g.demand[members[0]].lead {
		sum, weight := 0.0, 0.0
		for _, p := range members {
			l := g.demand[p].lead[k]
			w := 1 / (l.sigma() * l.sigma())
			sum, weight = sum+w*l.ValueMM, weight+w
		}
		out = append(out, Lead{first.Key, sum / weight, g.meanU95(members, k, weight)})
	}
	return out
}

// meanU95 carries the members' u95 alone to the weighted mean: their scatter is
// none of the scan's.
func (g *grouping) meanU95(members []int, k int, weight float64) float64 {
	sum := 0.0
	for _, p := range members {
		l := g.demand[p].lead[k]
		x := l.U95MM / (l.sigma() * l.sigma()) / weight
		sum += x * x
	}
	return math.Sqrt(sum)
}

// sorted returns the clusters by their lowest members.
func (g *grouping) sorted() [][]int {
	out := slices.Clone(g.cluster)
	slices.SortFunc(out, func(a, b []int) int { return a[0] - b[0] })
	return out
}
