package assembly

import (
	"cmp"
	"context"
	"math"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
	"pointup/segment/surface"
)

// Piece is one piece of metal of a fused scan.
type Piece struct {
	Element primitive.Element
	Faces   []uint32 // of the mesh, rising: its own surface
	Weld    []uint32 // weld, spatter and corners nearest to it
	Patch   *primitive.Patch
}

// Pieces takes a fused shell apart. p is the patch of the whole shell.
//
// Ideal surfaces are found, joined to pieces where they meet at outside corners,
// each piece fitted; then every facet goes to the piece whose ideal surface it
// lies on, what lies on none is weld of the nearest, and pieces are fitted again
// to their own facets; all three times over unless the shell is large. Order: falling
// number of facets; none where no seam parts the shell.
func Pieces(ctx context.Context, m *mesh.Mesh, p *primitive.Patch, opt primitive.Options) ([]Piece, error) {
	noise := max(p.NoiseMM, 1e-3*p.EdgeMM)
	f := surface.FromMesh(p.P, p.N, p.Facet, p.EdgeMM, noise)
	if more := scatter(p, f); more > p.NoiseMM {
		wide := *p
		wide.NoiseMM, noise = more, more
		p = &wide
		f = surface.FromMesh(p.P, p.N, p.Facet, p.EdgeMM, noise)
	}
	tried := joints{}
	first, err := read(ctx, m, p, f, nil, tried, opt)
	if err != nil || len(first.pieces) < 2 {
		return nil, err
	}
	known, pieces, further := []reading{first}, first.pieces, rereadings
	switch {
	case len(p.Facet) > hugeFacets:
		further = nil
	case len(p.Facet) > largeFacets:
		further = further[:1]
	}
	for _, times := range further {
		f = surface.FromMesh(p.P, p.N, p.Facet, p.EdgeMM, times*noise)
		other, err := read(ctx, m, p, f, known, tried, opt)
		if err != nil {
			return nil, err
		}
		known, pieces = append(known, other), likelier(p, pieces, other.pieces)
	}
	pieces = dealt(m, p, slices.DeleteFunc(pieces, func(x Piece) bool { return scrap(p, x) }))
	closeRings(pieces, opt, func(q r3.Vec) bool { return within(p, r3.Sub(q, p.OriginMM)) })
	hideBores(pieces)
	return pieces, nil
}

// scrap tells a piece that is weld which happens to look like one: small, rougher than
// the scan and hardly seen.
func scrap(p *primitive.Patch, x Piece) bool {
	return x.Patch.TotalMM2 < pieceShare*p.TotalMM2 && x.Element.Kind != "freeform" &&
		x.Element.RMSMM > scrapRough*p.NoiseMM && x.Element.Coverage < scrapSeen
}

// Bounds of scraps: the one that set them, of a study scene, scattered by 0.12 mm in noise
// of 0.04 and showed a fifth of itself.
const (
	scrapRough = 2.0 // times the noise
	scrapSeen  = 0.3 // of its surface
)

// What a second fit may be worse by than the first. Dents that the first left out may
// more than double the scatter of one kind; another kind has to explain them. Weld
// taken off a piece seldom has a third of what was seen of it.
const (
	astray        = 4   // times the scatter
	astrayAsOther = 1.5 // of another kind
	astrayShows   = 0.7 // of the coverage
	clearer       = 0.9 // of the scatter of a plate that shows more of itself, by which a side was made of weld
	robbed        = 0.5 // of the first one's surface, of which the rest lies on other pieces
)

// worse tells that a says less of the piece than b did, or went astray: its facets were
// chosen by b's own surface, of which a square end is not askew.
func worse(a, b primitive.Element) bool {
	switch {
	case a.Kind == "freeform":
		return b.Kind != "freeform"
	case b.Kind == "freeform":
		return false
	case a.Kind == "toothed_wheel" && b.Kind != a.Kind: // teeth scatter more than a rim, or than an outline that runs round each
		return a.RMSMM > astrayAsOther*b.RMSMM && a.Coverage < astrayShows*b.Coverage
	case b.Kind == "toothed_wheel" && a.Kind != b.Kind: // but for weld round a plate's holes and edges, taken for teeth
		return a.RMSMM > clearer*b.RMSMM || b.Coverage >= astrayShows*a.Coverage
	case a.Kind != b.Kind:
		return a.RMSMM > astrayAsOther*b.RMSMM
	}
	lost := len(a.Hidden) > len(b.Hidden) && !(a.Kind == "plate" && a.RMSMM < clearer*b.RMSMM && a.Coverage > b.Coverage)
	return lost || a.RMSMM > astray*b.RMSMM || a.Coverage < astrayShows*b.Coverage || squareEnds(a) < squareEnds(b)
}

func squareEnds(e primitive.Element) int {
	n := 0
	for _, x := range e.Ends {
		if x.Kind == "square" {
			n++
		}
	}
	return n
}

// Sizes under which a part is no piece: weld beads, spatter, splinters.
const (
	partFacets = 60
	partShare  = 0.002 // of the shell's area
	islands    = 0.03  // of the part's facets, under which a loose island is dropped
)

// facetParts collects the facets whose three vertices are of one part, without
// small islands, by falling number.
func facetParts(p *primitive.Patch, part []int32) [][]int32 {
	by := map[int32][]int32{}
	for i, t := range p.Facet {
		if k := part[t[0]]; k >= 0 && part[t[1]] == k && part[t[2]] == k {
			by[k] = append(by[k], int32(i))
		}
	}
	keys := make([]int32, 0, len(by))
	for k := range by {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	var out [][]int32
	for _, k := range keys {
		kept := mainland(p, by[k])
		area := 0.0
		for _, i := range kept {
			area += p.FacetMM2[i]
		}
		if len(kept) >= partFacets && area >= partShare*p.TotalMM2 {
			out = append(out, kept)
		}
	}
	slices.SortStableFunc(out, func(a, b []int32) int { return len(b) - len(a) })
	return out
}

// mainland keeps the connected parts of a set of facets that hold a fair share
// of it.
func mainland(p *primitive.Patch, facets []int32) []int32 {
	in := make(map[int32]int32, len(facets)) // facet → island+1
	for _, f := range facets {
		in[f] = 0
	}
	var size []int
	var stack []int32
	for _, f := range facets {
		if in[f] != 0 {
			continue
		}
		size = append(size, 0)
		n := int32(len(size))
		in[f] = n
		stack = append(stack[:0], f)
		for len(stack) > 0 {
			a := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			size[n-1]++
			for _, g := range p.Next[a] {
				if g >= 0 {
					if k, ok := in[g]; ok && k == 0 {
						in[g] = n
						stack = append(stack, g)
					}
				}
			}
		}
	}
	var out []int32
	for _, f := range facets {
		if float64(size[in[f]-1]) >= islands*float64(len(facets)) {
			out = append(out, f)
		}
	}
	return out
}

// fitAll fits every part, as many at a time as there are processors; like says
// what they were found to be, nil where nothing is known.
func fitAll(ctx context.Context, m *mesh.Mesh, p *primitive.Patch, parts [][]int32, like []Piece, opt primitive.Options) ([]Piece, error) {
	out := make([]Piece, len(parts))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, part := range parts {
		g.Go(mesh.Guarded(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			if like == nil {
				out[i] = fitPart(m, p, part, primitive.Element{}, opt)
			} else {
				out[i] = fitPart(m, p, part, like[i].Element, opt)
			}
			return nil
		}))
	}
	return out, g.Wait()
}

func fitPart(m *mesh.Mesh, p *primitive.Patch, part []int32, like primitive.Element, opt primitive.Options) Piece {
	faces := make([]uint32, len(part))
	for i, f := range part {
		faces[i] = p.Face[f]
	}
	slices.Sort(faces)
	q := primitive.NewPatch(m, faces, p.NoiseMM)
	x := Piece{Element: primitive.Refit(q, like, opt), Faces: faces, Patch: q}
	if x.Element.Kind == "freeform" && like.Kind != "" {
		opt.FormShare, opt.FormNoise = weldForm*opt.FormShare, weldForm*opt.FormNoise
		if e := primitive.Recognise(q, opt); e.Kind != "freeform" {
			x.Element = e
		}
	}
	return x
}

// weldForm is how much larger the form error of a piece may be that is fitted to its own
// facets and nothing known: welds draw it, and their spatter is on it.
const weldForm = 1.5

// joints are fits to two parts as one, by their patches.
type joints map[[2]*primitive.Patch]Piece

// merge joins parts that one primitive explains together: a piece that another
// one crosses leaves two. Only parts that are nothing by themselves, or of which
// little is seen, are tried with the others, nearest first.
//
// tried are pairs that an earlier reading fitted, and take up those fitted now.
func merge(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, tried joints, opt primitive.Options) []Piece {
	tries := mergeTries
	for i := len(pieces) - 1; i > 0; i-- {
		a := pieces[i]
		if a.Element.Kind != "freeform" && a.Element.Coverage > 0.6 {
			continue
		}
		with := nearest(pieces, i, min(tries, mergeWith))
		with = slices.DeleteFunc(with, func(j int) bool { return beyond(p, a, pieces[j]) })
		tries -= len(with)
		joint := make([]Piece, len(with))
		var g errgroup.Group
		g.SetLimit(runtime.GOMAXPROCS(0))
		for k, j := range with {
			var done bool
			if joint[k], done = tried[[2]*primitive.Patch{a.Patch, pieces[j].Patch}]; done {
				continue
			}
			g.Go(mesh.Guarded(func() error {
				joint[k] = fitBoth(m, p, a, pieces[j], opt)
				return nil
			}))
		}
		if err := g.Wait(); err != nil {
			panic(err) // a fault, brought to where it can be told
		}
		for k, j := range with {
			tried[[2]*primitive.Patch{a.Patch, pieces[j].Patch}] = joint[k]
		}
		for k, j := range with {
			e, b := joint[k].Element, pieces[j].Element
			if e.Kind == "freeform" || e.RMSMM > 1.5*max(b.RMSMM, p.NoiseMM) || min(liesOn(p, a.Patch, &joint[k]), liesOn(p, pieces[j].Patch, &joint[k])) < togetherShare ||
				e.Coverage < max(a.Element.Coverage, b.Coverage)+0.02 && !(e.Coverage > enoughSeen(a, e) && explainsMore(p, &joint[k], &a, &pieces[j])) {
				continue
			}
			pieces[j] = joint[k]
			pieces = slices.Delete(pieces, i, i+1)
			break
		}
	}
	var out []Piece
	for _, x := range pieces { // what stays nothing and small is weld
		if x.Element.Kind == "freeform" && x.Patch.TotalMM2 < leftShare*p.TotalMM2 {
			continue
		}
		out = append(out, x)
	}
	return out
}

// enoughSeen is the coverage from which a whole that explains more than its parts may
// show less of itself than one did: what is nothing by itself is hardly ever explained
// by a piece with no size hidden that it is not of.
func enoughSeen(a Piece, whole primitive.Element) float64 {
	if a.Element.Kind == "freeform" && len(whole.Hidden) == 0 {
		return 0.4
	}
	return 0.6
}

// explainsMore tells that the whole explains more surface of its parts than these
// did by themselves, and of b all that it did: what b was taken for left much of it,
// or the other was nothing known.
func explainsMore(p *primitive.Patch, whole, a, b *Piece) bool {
	gain := func(x *Piece) float64 {
		own := 0.0
		if x.Element.Kind != "freeform" {
			own = liesOn(p, x.Patch, x)
		}
		return liesOn(p, x.Patch, whole) - own
	}
	of := gain(b)
	if a.Element.Kind != "freeform" {
		return of > moreShare
	}
	return of > -lostShare && of*b.Patch.TotalMM2+gain(a)*a.Patch.TotalMM2 > moreShare*(a.Patch.TotalMM2+b.Patch.TotalMM2)
}

// nearest lists at most n pieces near to piece i, that one first on whose ideal
// surface it lies best; freeforms, which have none, come last.
func nearest(pieces []Piece, i, n int) []int {
	type row struct {
		j  int
		mm float64
	}
	var list []row
	for j := range pieces {
		if j != i && near(pieces[i].Patch, pieces[j].Patch) {
			list = append(list, row{j, offMM(pieces[i].Patch, &pieces[j])})
		}
	}
	slices.SortStableFunc(list, func(a, b row) int { return cmp.Compare(a.mm, b.mm) })
	var out []int
	for _, r := range list[:min(n, len(list))] {
		out = append(out, r.j)
	}
	return out
}

// offMM is the mean distance of a patch's facets from a piece's ideal surface,
// no finite number for a freeform.
func offMM(q *primitive.Patch, x *Piece) float64 {
	if x.Element.Kind == "freeform" {
		return math.Inf(1)
	}
	sum, n := 0.0, 0.0
	for i := 0; i < len(q.Facet); i += len(q.Facet)/looksMost + 1 {
		sum += math.Abs(x.Element.DistanceMM(r3.Add(q.FacetC[i], q.OriginMM)))
		n++
	}
	return sum / n
}

// fitBoth fits two pieces as one: as what b is, where enough of that is seen.
func fitBoth(m *mesh.Mesh, p *primitive.Patch, a, b Piece, opt primitive.Options) Piece {
	faces := merged(a.Faces, b.Faces)
	q := primitive.NewPatch(m, faces, p.NoiseMM)
	e, ok, tried := primitive.Extend(q, b.Element, opt)
	switch {
	case !tried || b.Element.Coverage <= surelySeen: // b may be something else with a
		e = primitive.Recognise(q, opt)
	case !ok:
		e.Kind = "freeform"
	}
	return Piece{Element: e, Faces: faces, Patch: q}
}

// surelySeen is the share of its surface from which a piece stays what it is with more.
const surelySeen = 0.6

// beyond tells that a part cannot be of a larger piece, of which enough is seen to be
// sure: that would be as thick, however far it went on, and too much of the part lies
// outside.
func beyond(p *primitive.Patch, part, of Piece) bool {
	e := of.Element
	sure := e.Coverage > surelySeen || e.Kind == "toothed_wheel"
	if !sure || e.Standing() || len(e.Lands) > 0 || len(e.Segments) > 0 || len(of.Faces) < len(part.Faces) {
		return false
	}
	size := func(key string) float64 {
		x, ok := e.Dim(key)
		if !ok {
			return math.NaN()
		}
		return x
	}
	var out func(h, rho float64) float64 // how far a point lies outside, mm
	var thick float64
	switch {
	case flatKind(e):
		thick = size("thickness_mm")
		out = func(h, _ float64) float64 { return math.Abs(h) - thick/2 }
	case e.Kind == "bar" || e.Kind == "tube":
		thick = size("outside_diameter_mm")
		out = func(_, rho float64) float64 { return rho - thick/2 }
	case e.Kind == "ring" || e.Kind == "arc":
		thick = size("section_diameter_mm")
		middle := size("centreline_diameter_mm") / 2
		out = func(h, rho float64) float64 { return math.Hypot(h, rho-middle) - thick/2 }
	}
	if out == nil || math.IsNaN(thick) {
		return false
	}
	gate := max(onGate(p, &of), beyondGate*thick)
	in, all := 0.0, 0.0
	for i := 0; i < len(part.Patch.Facet); i += len(part.Patch.Facet)/looksMost + 1 {
		w := r3.Sub(r3.Add(part.Patch.FacetC[i], part.Patch.OriginMM), e.Frame.OriginMM)
		h := r3.Dot(w, e.Frame.Axis)
		all += part.Patch.FacetMM2[i]
		if out(h, r3.Norm(r3.Sub(w, r3.Scale(h, e.Frame.Axis)))) <= gate {
			in += part.Patch.FacetMM2[i]
		}
	}
	return in < togetherShare*all
}

// beyondGate is how far outside, as a share of the thickness, what is of a piece may
// lie by the error of its own fit.
const beyondGate = 0.1

// togetherShare is the share of a part that lies on the piece which explains it
// together with another: a plate's fit leaves two fifths to what stands on it.
const togetherShare = 0.7

// moreShare is the share of a part's surface that it has to gain from being part of
// a whole: what weld and corners leave of a sound piece is less.
const moreShare = 0.1

// lostShare is what the whole may explain less of it, by chance of the fit.
const lostShare = 0.02

// mergeWith are the pieces that a part is tried with; mergeTries bounds the time that
// a shell which is no assembly can take.
const (
	mergeWith  = 2
	mergeTries = 8
)

// near tells whether the boxes of two patches come within a tenth of the smaller
// one's size.
func near(a, b *primitive.Patch) bool {
	d := r3.Norm(r3.Sub(a.OriginMM, b.OriginMM))
	return d < 0.6*(a.SizeMM+b.SizeMM)
}

// assign gives every facet of the shell to the piece on whose ideal surface it
// lies: nearest, facing the same way, within the piece's own scatter. The rest
// is weld of the nearest piece.
func assign(m *mesh.Mesh, p *primitive.Patch, pieces []Piece) (own [][]int32, weld [][]uint32) {
	n := len(p.Face)
	to, isWeld := make([]int32, n), make([]bool, n)
	first := make([]int32, n)
	for i := range first {
		first[i] = -1
	}
	at := make(map[uint32]int32, n)
	for i, f := range p.Face {
		at[f] = int32(i)
	}
	for k, x := range pieces {
		for _, f := range x.Faces {
			first[at[f]] = int32(k)
		}
	}
	workers := runtime.GOMAXPROCS(0)
	var g errgroup.Group
	for w := 0; w < workers; w++ {
		g.Go(mesh.Guarded(func() error {
			for i := w * n / workers; i < (w+1)*n/workers; i++ {
				to[i], isWeld[i] = placeOf(p, pieces, first[i], i)
			}
			return nil
		}))
	}
	if err := g.Wait(); err != nil {
		panic(err) // a fault, brought to where it can be told
	}
	own, weld = make([][]int32, len(pieces)), make([][]uint32, len(pieces))
	for i, k := range to {
		if isWeld[i] {
			weld[k] = append(weld[k], p.Face[i])
		} else {
			own[k] = append(own[k], int32(i))
		}
	}
	return own, weld
}

// hideBores renames a disc through whose middle, but for the weld round it, another
// piece passes: a ring whose bore nobody can see.
func hideBores(pieces []Piece) {
	for i := range pieces {
		a := &pieces[i].Element
		if a.Kind != "disc" {
			continue
		}
		od, _ := a.Dim("outside_diameter_mm")
		for j := range pieces {
			b := &pieces[j].Element
			if j == i || b.Kind != "tube" && b.Kind != "bar" {
				continue
			}
			d, _ := b.Dim("outside_diameter_mm")
			low, high := reach(pieces[j].Patch, *b)
			w := r3.Sub(a.Frame.OriginMM, b.Frame.OriginMM)
			h := r3.Dot(w, b.Frame.Axis)
			off := math.Sqrt(max(r3.Norm2(w)-h*h, 0))
			if d < od && off < bridgeMM && low < h && h < high && math.Abs(r3.Dot(a.Frame.Axis, b.Frame.Axis)) > 0.3 && bare(pieces[i], b.Frame.OriginMM, b.Frame.Axis, 0.4*d) {
				a.Kind, a.Section = "ring", "flat"
				a.Hidden = append(a.Hidden, "inside_diameter_mm")
				a.Notes = append(a.Notes, "another piece passes through it: its bore cannot be seen")
				break
			}
		}
	}
}

// bare tells whether a piece has no surface within r of an axis.
func bare(x Piece, at, axis r3.Vec, r float64) bool {
	n := 0
	for _, q := range x.Patch.P {
		w := r3.Sub(r3.Add(q, x.Patch.OriginMM), at)
		h := r3.Dot(w, axis)
		if r3.Norm2(w)-h*h < r*r {
			n++
		}
	}
	return n*200 < len(x.Patch.P)
}
