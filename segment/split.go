// Package segment says which triangles belong together.
package segment

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
)

// Shell is one connected piece of surface.
type Shell struct {
	Component  uint32   // index into the mesh's Components
	Faces      []uint32 // rising
	Points     []uint32 // the vertices of Faces, rising, each once
	AreaMM2    float64
	CentroidMM r3.Vec  // of the surface, SCAN
	LowestMM   float64 // height of the lowest vertex over the ground, at the scan's size
}

// Parts is a scan taken apart.
type Parts struct {
	Shells      []Shell
	Dust        []uint32 // facets set aside, rising
	DustAreaMM2 float64
}

// Options are the settings of [Split].
type Options struct {
	DustListed int // specks of dust that get a finding each, the biggest first
}

// DefaultOptions returns the settings for a scan as it comes.
func DefaultOptions() Options { return Options{DustListed: 0} }

// Split returns the connected shells of s.
//
// Shapes: s has F faces; the shells' Faces and Dust partition [0,F). Order:
// falling area, ties by lowest face. Facets are connected across edges that
// exactly two share, dust apart: two shells that touch in a point or along an
// edge stay two.
// Findings: dust is reported and left unassigned, never dropped in silence.
func Split(ctx context.Context, s mesh.Scaled, opt Options, tell mesh.Tell) (Parts, []mesh.Finding, error) {
	if s.Mesh == nil {
		return Parts{}, nil, fmt.Errorf("split: no mesh; check the scan first")
	}
	if opt.DustListed < 0 {
		return Parts{}, nil, fmt.Errorf("split: %d specks to list; give 0 or more", opt.DustListed)
	}
	if tell != nil {
		tell("split", 0, int64(len(s.Faces)))
	}
	number, parts := order(s.Mesh)
	parts.Dust = shareFaces(ctx, s.Mesh, number, parts.Shells)
	sharePoints(ctx, s.Mesh, number, parts.Shells)
	if err := ctx.Err(); err != nil {
		return Parts{}, nil, err
	}
	for i := range parts.Shells {
		parts.Shells[i].LowestMM = lowest(s, parts.Shells[i].Component)
	}
	if tell != nil {
		tell("split", int64(len(s.Faces)), int64(len(s.Faces)))
	}
	return parts, dustFindings(s.Mesh, parts, opt), nil
}

// none marks the components that are no shell.
const none = ^uint32(0)

// order makes a shell of every component that is not dust and returns the number
// of each component's shell.
func order(m *mesh.Mesh) (number []uint32, parts Parts) {
	for i := range m.Components {
		c := &m.Components[i]
		if c.Dust {
			parts.DustAreaMM2 += c.AreaMM2
			continue
		}
		parts.Shells = append(parts.Shells, Shell{Component: uint32(i), AreaMM2: c.AreaMM2, CentroidMM: c.CentroidMM})
	}
	slices.SortStableFunc(parts.Shells, func(a, b Shell) int { return cmp.Compare(b.AreaMM2, a.AreaMM2) })
	number = make([]uint32, len(m.Components))
	for i := range number {
		number[i] = none
	}
	for i := range parts.Shells {
		number[parts.Shells[i].Component] = uint32(i)
	}
	return number, parts
}

// shareFaces deals the facets to their shells and returns those that are left.
func shareFaces(ctx context.Context, m *mesh.Mesh, number []uint32, shells []Shell) []uint32 {
	dust := uint32(len(shells))
	list := deal(ctx, len(m.Faces), len(shells)+1, func(lo, hi uint32, to []dealt) []dealt {
		for i, c := range m.ComponentOf[lo:hi] {
			to = append(to, dealt{lo + uint32(i), min(number[c], dust)})
		}
		return to
	})
	for i := range shells {
		shells[i].Faces = list[i]
	}
	return list[dust]
}

// sharePoints deals the vertices to the shells that have a facet at them.
func sharePoints(ctx context.Context, m *mesh.Mesh, number []uint32, shells []Shell) {
	list := deal(ctx, len(m.Points), len(shells), func(lo, hi uint32, to []dealt) []dealt {
		for v := lo; v < hi; v++ {
			to = shellsAt(m, number, v, to)
		}
		return to
	})
	for i := range shells {
		shells[i].Points = list[i]
	}
}

// shellsAt appends vertex v once for every shell that has it, hardly ever more than
// one.
func shellsAt(m *mesh.Mesh, number []uint32, v uint32, to []dealt) []dealt {
	first, last := len(to), none
	for _, f := range m.FacesAt(v) {
		c := m.ComponentOf[f]
		if c == last {
			continue
		}
		d := dealt{v, number[c]}
		if d.list != none && (last == none || !slices.Contains(to[first:], d)) {
			to = append(to, d)
		}
		last = c
	}
	return to
}

// dealt is a thing and the list that it goes to.
type dealt struct{ thing, list uint32 }

// dealtAtOnce is how many things are looked at between two looks at the context:
// what comes of them stays in the caches.
const dealtAtOnce = 1 << 11

// deal puts each of n things on the lists that it goes to, in order: each appends
// those of the things from lo on and before hi, the same every time. It is called once
// to count and once to fill. Once ctx has ended it comes to nothing.
func deal(ctx context.Context, n, lists int, each func(lo, hi uint32, to []dealt) []dealt) [][]uint32 {
	var next [mesh.SharesMost][]int
	eachDealt(ctx, n, each, func(k int, some []dealt) {
		if next[k] == nil {
			next[k] = make([]int, lists)
		}
		for _, d := range some {
			next[k][d.list]++
		}
	})
	total := 0
	start := make([]int, lists+1)
	for i := range lists {
		for _, count := range next {
			if count != nil {
				count[i], total = total, total+count[i]
			}
		}
		start[i+1] = total
	}
	pool := mesh.Large[uint32](total)
	eachDealt(ctx, n, each, func(k int, some []dealt) {
		place := next[k]
		for _, d := range some {
			pool[place[d.list]] = d.thing
			place[d.list]++
		}
	})
	out := make([][]uint32, lists)
	for i := range out {
		out[i] = pool[start[i]:start[i+1]:start[i+1]]
	}
	return out
}

// eachDealt calls do for all that each gives of n things, share k of them in order.
func eachDealt(ctx context.Context, n int, each func(lo, hi uint32, to []dealt) []dealt, do func(k int, some []dealt)) {
	mesh.InShares(n, func(k, lo, hi int) {
		var some []dealt
		for ; lo < hi && ctx.Err() == nil; lo += dealtAtOnce {
			some = each(uint32(lo), uint32(min(lo+dealtAtOnce, hi)), some[:0])
			do(k, some)
		}
	})
}

// lowest returns the height of the component's lowest point in SITE over the
// ratio. Up is an axis of the scan, so a corner of the box has it.
func lowest(s mesh.Scaled, component uint32) float64 {
	c := s.Components[component]
	return min(s.SiteMM(c.MinMM).Z, s.SiteMM(c.MaxMM).Z) / s.Ratio
}

// dustFindings lists the biggest specks; how many there are in all, checking
// said already.
func dustFindings(m *mesh.Mesh, parts Parts, opt Options) []mesh.Finding {
	var specks []*mesh.Component
	for i := range m.Components {
		if m.Components[i].Dust {
			specks = append(specks, &m.Components[i])
		}
	}
	slices.SortStableFunc(specks, func(a, b *mesh.Component) int { return cmp.Compare(b.AreaMM2, a.AreaMM2) })
	var out []mesh.Finding
	if len(specks) > 0 {
		out = append(out, mesh.Finding{Code: "dust-unassigned", Severity: "note",
			What:   fmt.Sprintf("%d facets of dust, %.3g mm² in all, belong to no element", len(parts.Dust), parts.DustAreaMM2),
			Advice: "nothing to do unless a piece is missing"})
	}
	for _, c := range specks[:min(len(specks), opt.DustListed)] {
		at := [3]float64{c.CentroidMM.X, c.CentroidMM.Y, c.CentroidMM.Z}
		out = append(out, mesh.Finding{Code: "dust-speck", Severity: "note", WhereMM: &at,
			What:   fmt.Sprintf("a speck of %d facets, %.3g mm²", c.Facets, c.AreaMM2),
			Advice: "if it is a piece of metal, scan it finer"})
	}
	return out
}
