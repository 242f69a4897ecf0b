package primitive

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
)

// legsMost bounds the legs of a chain.
const legsMost = 24

// idleMost is how many numbers of legs in a row may do no better: one that ends
// halfway along a leg may need several more to do so.
const idleMost = 6

// chainStarts are chains of two and more legs along the path, the best of each
// number of legs, best first: divisions of it, fitted to its nodes, without the
// legs that do not pay. It goes on to more legs until six in a row were not
// worth it. None: one straight or one arc does as well.
func chainStarts(w tubePath) []nodeFit {
	b := bends(w)
	if len(b.item) < 6 {
		return nil
	}
	d := newDivision(b)
	var all []nodeFit
	single := w.straightScore()
	best, idle := single, 0
	for k := 1; k <= legsMost && idle < idleMost; k++ {
		cut := d.next()
		if cut == nil {
			break
		}
		idle++
		c := b.chain(cut, w.r)
		if c == nil {
			continue
		}
		f, ok := fitNodes(c, w)
		if ok {
			if f.score < best {
				best, idle = f.score, 0
			}
			if len(f.c.legs) == 1 {
				single = min(single, f.score)
			} else {
				all = append(all, f)
			}
		}
	}
	all = distinct(all)
	for i := range all[:min(2, len(all))] {
		all[i] = all[i].simplified(w)
	}
	all = distinct(all)
	if len(all) == 0 || all[0].score > single-plainEvidence || len(all[0].c.legs) < 2 {
		return nil
	}
	return all
}

// plainEvidence is the difference of the criterion from which the evidence is very
// strong (Kass and Raftery, J. Am. Stat. Assoc. 90 (1995) 777).
const plainEvidence = 10

// distinct are the best chain of each number of legs, best first.
func distinct(list []nodeFit) []nodeFit {
	slices.SortStableFunc(list, func(a, b nodeFit) int { return cmp.Compare(a.score, b.score) })
	var out []nodeFit
	for _, f := range list {
		if !slices.ContainsFunc(out, func(o nodeFit) bool { return len(o.c.legs) == len(f.c.legs) }) {
			out = append(out, f)
		}
	}
	return out
}

// nodeFit is a chain fitted to a path's nodes with the Bayesian criterion's score.
type nodeFit struct {
	c     *chain
	score float64
}

// fitNodes fits the chain to the nodes by their distances along two directions
// across it.
func fitNodes(c *chain, w tubePath) (nodeFit, bool) {
	n := len(w.node)
	at := make([]spot, n)
	across := make([][2]r3.Vec, n)
	pr := fit.Problem{N: 2 * n, P: c.params(), Coarse: true,
		Prepare: func(x []float64) {
			c.prepare(x)
			for i, q := range w.node {
				at[i] = c.trial.run.nearest(q.c)
				_, t := c.trial.run.at(at[i].i, at[i].s)
				f := newFrame(at[i].p, t)
				across[i] = [2]r3.Vec{f.E1, f.E2}
			}
		},
		Residual: func(_ []float64, i int, grad []float64) float64 {
			clear(grad)
			e := across[i/2][i%2]
			c.trial.run.derive(at[i/2], r3.Scale(-1, e), grad)
			return r3.Dot(r3.Sub(w.node[i/2].c, at[i/2].p), e)
		}}
	x := make([]float64, c.params())
	for range 3 {
		s, err := fit.Solve(pr, x)
		if err != nil {
			return nodeFit{}, false
		}
		c.prepare(s.X)
		c.accept()
		c.mend(w)
		if !c.sound() {
			return nodeFit{}, false
		}
	}
	pr.Prepare(x)
	ssq := 0.0
	for i := range w.node {
		ssq += r3.Norm2(r3.Sub(w.node[i].c, at[i].p))
	}
	return nodeFit{c, w.score(ssq, c.params())}, true
}

// score is the Bayesian criterion of a centreline with p parameters that leaves
// the sum of squares ssq. Slices overlap by half, so that of a node's two
// residuals one is independent; and no centre is surer than a 250th of the
// radius.
func (w tubePath) score(ssq float64, p int) float64 {
	n := float64(len(w.node))
	floor := 0.004 * w.r
	return n*math.Log(ssq/(2*n)+floor*floor) + float64(p)*math.Log(n)
}

// straightScore is that of a straight.
func (w tubePath) straightScore() float64 {
	var mean r3.Vec
	var m [6]float64
	for _, q := range w.node {
		mean = r3.Add(mean, r3.Scale(1/float64(len(w.node)), q.c))
	}
	for _, q := range w.node {
		addOuter(&m, r3.Sub(q.c, mean), 1)
	}
	d, ssq := eigen(m)[2], 0.0
	for _, q := range w.node {
		ssq += r3.Norm2(r3.Cross(r3.Sub(q.c, mean), d))
	}
	return w.score(ssq, 4)
}

// bent is how a path bends from node to node, in a frame that is carried along
// without twist: an arc bends evenly in one direction of it.
type bent struct {
	node []tubeNode
	way  []r3.Vec    // chords
	e1   []r3.Vec    // of the frame on each chord
	at   []float64   // mm along the path, of each node
	item []bendPoint // of the inner nodes
}

type bendPoint struct{ u, v, h float64 } // turn in rad, mm of path it stands for

func bends(w tubePath) bent {
	b := bent{node: w.node}
	for i := 1; i < len(w.node); i++ {
		d := r3.Sub(w.node[i].c, w.node[i-1].c)
		l := norm(d)
		if l == 0 {
			return bent{}
		}
		b.way = append(b.way, r3.Scale(1/l, d))
		if i == 1 {
			b.at = append(b.at, 0)
			b.e1 = append(b.e1, newFrame(r3.Vec{}, b.way[0]).E1)
		}
		b.at = append(b.at, b.at[i-1]+l)
	}
	for i := 1; i < len(b.way); i++ {
		t, e := b.way[i-1], b.e1[i-1]
		turn := r3.Cross(t, b.way[i]) // sine of the angle, about the axis
		if s := norm(turn); s > 0 {
			angle := math.Atan2(s, r3.Dot(t, b.way[i]))
			turn = r3.Scale(1/s, turn)
			e2 := r3.Cross(t, e)
			to := r3.Cross(turn, t) // towards the centre
			b.item = append(b.item, bendPoint{angle * r3.Dot(to, e), angle * r3.Dot(to, e2), (b.at[i+1] - b.at[i-1]) / 2})
			e = r3.NewRotation(angle, turn).Rotate(e)
		} else {
			b.item = append(b.item, bendPoint{h: (b.at[i+1] - b.at[i-1]) / 2})
		}
		e = unit(r3.Sub(e, r3.Scale(r3.Dot(e, b.way[i]), b.way[i])))
		b.e1 = append(b.e1, e)
	}
	return b
}

// piece is a run [from, to) of items that is one leg.
type piece struct {
	from, to int
	arc      bool
}

// chain makes a chain of the division's pieces.
func (b bent) chain(cut []piece, r float64) *chain {
	c := &chain{rs: r}
	last := math.NaN()
	var toward float64
	for i, q := range cut {
		l := leg{length: b.border(q.to) - b.border(q.from)}
		if q.arc {
			u, v, h := 0.0, 0.0, 0.0
			for _, x := range b.item[q.from:q.to] {
				u, v, h = u+x.u, v+x.v, h+x.h
			}
			k := hypot(u, v) / h
			if !(k > 0) {
				return nil
			}
			l.radius = max(1/k, 1.05*r)
			l.sweep, l.length = l.length/l.radius, 0
			angle := math.Atan2(v, u)
			if math.IsNaN(last) {
				toward = angle
			} else {
				l.turn = math.Remainder(angle-last, 2*math.Pi)
			}
			last = angle
		}
		if i > 0 && !q.arc && !cut[i-1].arc {
			return nil
		}
		c.legs = append(c.legs, l)
	}
	if math.IsNaN(last) {
		return nil
	}
	c.f = b.frame(cut[0].to, toward)
	c.ready()
	if !c.sound() {
		return nil
	}
	return c
}

// border is how far along the path item i starts; the first and last leg go to
// the path's ends.
func (b bent) border(i int) float64 {
	switch i {
	case 0:
		return 0
	case len(b.item):
		return b.at[len(b.at)-1]
	}
	return (b.at[i] + b.at[i+1]) / 2
}

// frame stands in the middle of the chord before item i, E1 at the angle toward
// of the carried frame.
func (b bent) frame(i int, toward float64) frame {
	sin, cos := math.Sincos(toward)
	f := frame{C: r3.Scale(0.5, r3.Add(b.node[i].c, b.node[i+1].c)), D: b.way[i]}
	e2 := r3.Cross(f.D, b.e1[i])
	f.E1 = unit(r3.Add(r3.Scale(cos, b.e1[i]), r3.Scale(sin, e2)))
	f.E2 = r3.Cross(f.D, f.E1)
	return f
}

// mend ends the first and the last leg at the path's ends, and gives legs that
// came out shorter than nothing a little length.
func (c *chain) mend(w tubePath) {
	least := 0.02 * c.rs
	for k, i := range c.terminal() {
		at := c.now.nearest(w.node[k*(len(w.node)-1)].c)
		s := math.Abs(at.s)
		if at.i != i {
			s = 0 // the path ends before the leg: it is too much
		}
		if c.legs[i].arc() {
			c.legs[i].sweep = s
		} else {
			c.legs[i].length = s
		}
	}
	for i := range c.legs {
		if l := &c.legs[i]; !l.arc() {
			l.length = max(l.length, least)
		} else if l.radius > 0 {
			l.sweep = max(l.sweep, least/l.radius)
		}
	}
	c.ready()
}

// ready stands the ends where the legs end.
func (c *chain) ready() {
	c.now.lay(c.f, make([]float64, chainRigid), c.legs, c.firstArc())
	for k := range c.ends.f {
		c.stand(k)
	}
	c.prepare(make([]float64, c.params()))
}
