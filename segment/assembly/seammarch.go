package assembly

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// march follows the curve through the leaves. Each is divided into six
// tetrahedra (Kuhn 1960, from memory), in each of which both distances are taken
// as linear: their common zero is a line, which enters and leaves by a face. On
// a face it is one point, the same for the tetrahedra on both sides, so points
// link up into chains without any tolerance.
func (s *seam) march(leaves [][3]int32) []seamRun {
	g := &lattice{s: s, corner: map[[3]int32]int32{}, face: map[[3]int32]int32{}}
	for _, c := range leaves {
		g.cell(c)
	}
	return joined(g.chains(), 2.5*s.cellMM)
}

type lattice struct {
	s      *seam
	corner map[[3]int32]int32
	at     []r3.Vec
	value  [][2]float64
	face   map[[3]int32]int32 // sorted corners → 1 + node, 0 none
	node   []r3.Vec
	link   [][]int32
}

var kuhn = [6][4]int{{0, 1, 3, 7}, {0, 1, 5, 7}, {0, 2, 3, 7}, {0, 2, 6, 7}, {0, 4, 5, 7}, {0, 4, 6, 7}}

func (g *lattice) cell(c [3]int32) {
	var id [8]int32
	for k := range id {
		key := [3]int32{c[0] + int32(k&1), c[1] + int32(k>>1&1), c[2] + int32(k>>2)}
		i, ok := g.corner[key]
		if !ok {
			p := r3.Add(g.s.lo, r3.Scale(g.s.cellMM, r3.Vec{X: float64(key[0]), Y: float64(key[1]), Z: float64(key[2])}))
			i = int32(len(g.at))
			g.corner[key] = i
			g.at = append(g.at, p)
			g.value = append(g.value, [2]float64{g.s.a.distance(p) - g.s.growMM, g.s.b.distance(p) - g.s.growMM})
		}
		id[k] = i
	}
	for _, t := range kuhn {
		var hit [4]int32
		n := 0
		for k := range t {
			f := [3]int32{id[t[(k+1)%4]], id[t[(k+2)%4]], id[t[(k+3)%4]]}
			if v := g.crossing(f); v > 0 {
				hit[n] = v - 1
				n++
			}
		}
		if n == 2 && hit[0] != hit[1] {
			g.link[hit[0]] = append(g.link[hit[0]], hit[1])
			g.link[hit[1]] = append(g.link[hit[1]], hit[0])
		}
	}
}

// crossing is 1 + the node on a face, 0 where the curve does not cross it.
func (g *lattice) crossing(f [3]int32) int32 {
	slices.Sort(f[:])
	if v, ok := g.face[f]; ok {
		return v
	}
	v := g.cross(f)
	g.face[f] = v
	return v
}

func (g *lattice) cross(f [3]int32) int32 {
	a, b, c := g.value[f[0]], g.value[f[1]], g.value[f[2]]
	u, v, w := b[0]*c[1]-c[0]*b[1], c[0]*a[1]-a[0]*c[1], a[0]*b[1]-b[0]*a[1]
	if !(u >= 0 && v >= 0 && w >= 0) && !(u <= 0 && v <= 0 && w <= 0) {
		return 0
	}
	sum := u + v + w
	if sum == 0 {
		return 0
	}
	p := r3.Scale(u/sum, g.at[f[0]])
	p = r3.Add(p, r3.Scale(v/sum, g.at[f[1]]))
	p = r3.Add(p, r3.Scale(w/sum, g.at[f[2]]))
	g.node = append(g.node, p)
	g.link = append(g.link, nil)
	return int32(len(g.node))
}

// chains collects the nodes, open chains from their ends, then closed ones.
func (g *lattice) chains() []seamRun {
	done := make([]bool, len(g.node))
	var out []seamRun
	walk := func(i int32) seamRun {
		var c seamRun
		from := int32(-1)
		for {
			done[i] = true
			c.at = append(c.at, g.node[i])
			next := int32(-1)
			for _, j := range g.link[i] {
				if !done[j] {
					next = j
					break
				}
				if j != from && len(c.at) > 2 && g.node[j] == c.at[0] {
					c.closed = true
				}
			}
			if next < 0 {
				return c
			}
			from, i = i, next
		}
	}
	for pass := range 2 {
		for i := range g.node {
			if !done[i] && (pass == 1 || len(g.link[i]) == 1) {
				if c := walk(int32(i)); len(c.at) > 1 {
					out = append(out, c)
				}
			}
		}
	}
	return out
}
