package mesh

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// winding is what was done so that each component faces one way, outwards.
type winding struct {
	flipped    int // facets turned to agree with the rest of their component
	flippedAt  [3]uint32
	turned     []uint32 // components that were consistent and inside out
	oneSided   []uint32 // components that cannot be made consistent
	cavities   []uint32 // closed components that face inwards inside another
	anyFlipped bool
}

func (w *winding) renumber(to []uint32) {
	for _, list := range [][]uint32{w.turned, w.oneSided, w.cavities} {
		for i, c := range list {
			list[i] = to[c]
		}
		slices.Sort(list)
	}
}

// flip turns facet f round. Canonical order within the bucket is restored by
// reorder.
func (m *Mesh) flip(f uint32) {
	t := &m.Faces[f]
	t[1], t[2] = t[2], t[1]
}

// runsUp tells whether facet f goes from v to w.
func (m *Mesh) runsUp(f, v, w uint32) bool {
	t := m.Faces[f]
	return t[0] == v && t[1] == w || t[1] == v && t[2] == w || t[2] == v && t[0] == w
}

// weakSeam is the least number of edges, as a share of the root of the facets on
// the smaller side, along which facets must disagree for one side to be turned. A
// patch of a hundred facets that was wound the wrong way has some forty such edges;
// where facets of two pieces meet in a few edges, because those between them were
// not seen, the file's own winding stands.
const weakSeam = 0.25

// agree winds the facets of each component that has a disagreement alike: the
// side with the lesser area is turned, on a tie the one without the lowest
// facet.
func (m *Mesh) agree(disagree []uint32, w *winding) {
	if len(disagree) == 0 {
		return
	}
	wanted := make([]bool, len(m.Components))
	for _, f := range disagree {
		wanted[m.ComponentOf[f]] = !m.Dust(f)
	}
	s := sheets{of: slices.Repeat([]int32{-1}, len(m.Faces))}
	for c := range wanted {
		if !wanted[c] {
			continue
		}
		s.facets, s.seams = s.facets[:0], map[[2]int32]int{}
		m.spread(m.Components[c].LowestFace, &s)
		if s.level(m, w) {
			w.oneSided = append(w.oneSided, uint32(c))
		}
	}
}

// sheets are the parts of a component whose facets agree.
type sheets struct {
	of     []int32          // sheet of each facet, -1: not seen
	facets [][]uint32       // of each sheet
	seams  map[[2]int32]int // edges between two sheets that disagree, twice
}

// spread walks a component from facet f and finds its sheets.
func (m *Mesh) spread(f uint32, s *sheets) {
	seeds := []uint32{f}
	var across [][2]uint32
	for at := 0; at < len(seeds); at++ {
		if s.of[seeds[at]] >= 0 {
			continue
		}
		k := int32(len(s.facets))
		queue := []uint32{seeds[at]}
		s.of[seeds[at]] = k
		for head := 0; head < len(queue); head++ {
			g := queue[head]
			for e := range 3 {
				h, ok := m.Across(g, e)
				if !ok {
					continue
				}
				if t := m.Faces[g]; m.runsUp(h, t[e], t[(e+1)%3]) {
					seeds, across = append(seeds, h), append(across, [2]uint32{g, h})
				} else if s.of[h] < 0 {
					s.of[h] = k
					queue = append(queue, h)
				}
			}
		}
		s.facets = append(s.facets, queue)
	}
	for _, q := range across {
		a, b := s.of[q[0]], s.of[q[1]]
		s.seams[[2]int32{min(a, b), max(a, b)}]++
	}
}

// level turns sheets so that neighbours agree. clash tells that some facet is
// against itself, as on a Möbius band.
func (s *sheets) level(m *Mesh, w *winding) (clash bool) {
	next := make([][]int32, len(s.facets))
	for k, n := range s.seams {
		if k[0] == k[1] {
			clash = true
		} else if float64(n)/2 >= weakSeam*math.Sqrt(float64(min(len(s.facets[k[0]]), len(s.facets[k[1]])))) {
			next[k[0]], next[k[1]] = append(next[k[0]], k[1]), append(next[k[1]], k[0])
		}
	}
	side := make([]int, len(s.facets)) // 1 as it is, 2 against that
	for first := range side {
		if side[first] != 0 {
			continue
		}
		side[first] = 1
		queue := []int32{int32(first)}
		var area [3]float64
		for head := 0; head < len(queue); head++ {
			a := queue[head]
			for _, f := range s.facets[a] {
				area[side[a]] += r3.Norm(m.AreaVector(f))
			}
			slices.Sort(next[a])
			for _, b := range next[a] {
				if side[b] == 0 {
					side[b] = 3 - side[a]
					queue = append(queue, b)
				}
				clash = clash || side[b] == side[a]
			}
		}
		turn := 2
		if area[2] > area[1] {
			turn = 1
		}
		for _, a := range queue {
			if side[a] == turn {
				for _, f := range s.facets[a] {
					m.noteFlip(f, w)
				}
			}
		}
	}
	return clash
}

func (m *Mesh) noteFlip(f uint32, w *winding) {
	if w.flipped == 0 {
		w.flippedAt = m.Faces[f]
	}
	w.flipped++
	w.anyFlipped = true
	m.flip(f)
}

// nearlyClosed is the share of a component's area that its openings may have
// for the sign of its volume to overrule the winding of the file. The inside of
// a long tube that was scanned without its ends faces inwards and is right; its
// openings are 1 % of it where it is 50 diameters long, and scans of tubes with
// less stay as they are.
const nearlyClosed = 0.01

// faceOut turns the whole file round where it is inside out, and then each
// closed or nearly closed component that encloses a negative volume and is no
// cavity.
func (m *Mesh) faceOut(w *winding) {
	turn := make([]bool, len(m.Components))
	if m.wholeInsideOut() {
		for i := range turn {
			turn[i] = true
		}
		m.turn(turn)
	}
	back := make([]bool, len(m.Components))
	tests := 0
	for i := range m.Components {
		c := &m.Components[i]
		if c.VolumeMM3 >= 0 || c.Dust || c.OpenAreaMM2 > nearlyClosed*c.AreaMM2 {
			continue
		}
		if tests++; tests <= cavityTests && m.inside(c) {
			w.cavities = append(w.cavities, uint32(i))
			continue
		}
		back[i] = true
	}
	m.turn(back)
	for i := range turn {
		if turn[i] != back[i] {
			w.turned = append(w.turned, uint32(i))
			w.anyFlipped = true
		}
	}
}

// turn flips all facets of the components that are marked.
func (m *Mesh) turn(marked []bool) {
	if !slices.Contains(marked, true) {
		return
	}
	for f, c := range m.ComponentOf {
		if marked[c] {
			m.flip(uint32(f))
		}
	}
	for i := range marked {
		if marked[i] {
			m.Components[i].VolumeMM3 *= -1
		}
	}
}

// openHalf is the share of a component's area under which its openings leave
// the sign of its volume worth a vote.
const openHalf = 0.3

// wholeInsideOut tells whether nine tenths of the volume that the file's
// components enclose is negative.
func (m *Mesh) wholeInsideOut() bool {
	in, out := 0.0, 0.0
	for i := range m.Components {
		c := &m.Components[i]
		if c.Dust || c.OpenAreaMM2 > openHalf*c.AreaMM2 {
			continue
		}
		in += math.Max(0, -c.VolumeMM3)
		out += math.Max(0, c.VolumeMM3)
	}
	return in > 9*out
}

// cavityTests bounds the components that are held against all facets; a scanner
// cannot see into a cavity, so there are few.
const cavityTests = 32

// inside tells whether the component is a cavity: whether one of its points is
// inside the closed components that face outwards, by the solid angle of their
// facets (Van Oosterom and Strackee, IEEE Trans. Biomed. Eng. 30, 1983).
func (m *Mesh) inside(cavity *Component) bool {
	p := m.At(m.Faces[cavity.LowestFace][0])
	angle := 0.0
	for f := range m.Faces {
		c := &m.Components[m.ComponentOf[f]]
		if c.VolumeMM3 > 0 && !c.Dust && c.OpenAreaMM2 <= nearlyClosed*c.AreaMM2 && boxHolds(c, p) {
			angle += m.solidAngle(uint32(f), p)
		}
	}
	return angle > 2*math.Pi
}

func boxHolds(c *Component, p r3.Vec) bool {
	return p.X >= c.MinMM.X && p.X <= c.MaxMM.X && p.Y >= c.MinMM.Y && p.Y <= c.MaxMM.Y && p.Z >= c.MinMM.Z && p.Z <= c.MaxMM.Z
}

func (m *Mesh) solidAngle(f uint32, p r3.Vec) float64 {
	t := m.Faces[f]
	a, b, c := r3.Sub(m.At(t[0]), p), r3.Sub(m.At(t[1]), p), r3.Sub(m.At(t[2]), p)
	la, lb, lc := r3.Norm(a), r3.Norm(b), r3.Norm(c)
	return 2 * math.Atan2(r3.Dot(a, r3.Cross(b, c)), la*lb*lc+r3.Dot(a, b)*lc+r3.Dot(b, c)*la+r3.Dot(c, a)*lb)
}

// reorder restores canonical order after facets were turned, and returns the new
// number of each component.
func (m *Mesh) reorder() (to []uint32) {
	eachFree(bucketCuts(m.Faces), func(_, lo, hi int) { sortBuckets(m.Faces[lo:hi], m.Source[lo:hi], m.ComponentOf[lo:hi]) })
	m.index()
	to = make([]uint32, len(m.Components))
	seen := make([]bool, len(m.Components))
	fresh := make([]Component, 0, len(m.Components))
	for f, c := range m.ComponentOf {
		if !seen[c] {
			seen[c] = true
			to[c] = uint32(len(fresh))
			m.Components[c].LowestFace = uint32(f)
			fresh = append(fresh, m.Components[c])
		}
		m.ComponentOf[f] = to[c]
	}
	m.Components = fresh
	return to
}
