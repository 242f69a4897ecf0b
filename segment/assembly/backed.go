package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
	"pointup/segment/surface"
)

const (
	backedBare = 0.9 // share of a part in such faces, which are all that it is
	backedPart = 0.2 // of the face that a part has behind it, where several do
	backedDeep = 0.5 // of the side of a square of that size: the face behind it is as near
)

// backed ties a part that is bare faces and nothing else, as the inside of a channel's
// flange between its corner and a weld, or two walls of a hollow section, to what has
// the nearest face behind each of them, through metal: alone they are faces of nothing.
// Where a weld has parted the face behind, as it does the back of a web, all its parts
// are of the one piece that this face is of.
func backed(f *surface.Field, found []surface.Surface, parts [][]side, numbers []int32, total []int, out []int32, metal func(r3.Vec) bool) []int32 {
	for _, b := range numbers {
		for _, to := range backOf(f, found, parts, numbers, b, total[b], out, metal) {
			relabel(out, max(out[b], to), min(out[b], to))
		}
	}
	return out
}

// backOf lists the parts, as out numbers them, that have the nearest face behind every
// face of part b, which has so many points; nil where those are none, b itself among
// them, or others for each face.
func backOf(f *surface.Field, found []surface.Surface, parts [][]side, numbers []int32, b int32, points int, out []int32, metal func(r3.Vec) bool) (to []int32) {
	bare := 0
	for _, face := range parts[b] {
		size, main := alongside(found, parts[b], face)
		if len(face.points) < minorFlat || !main {
			continue
		}
		back, least := []int32(nil), backedDeep*f.SpacingMM*math.Sqrt(float64(len(face.points)))
		for k := range found {
			if _, flat := found[k].Ideal.(fit.Plane); !flat {
				continue
			}
			sink, opposite := behind(found[face.surface], found[k])
			l := r3.Norm(sink)
			if !opposite || l >= least {
				continue
			}
			if list := backs(f, parts, numbers, out, k, face.points, sink); list != nil && filledBehind(f, face.points, sink, metal) {
				back, least = list, l
			}
		}
		if back == nil || slices.Contains(back, out[b]) || to != nil && !slices.Equal(back, to) {
			return nil
		}
		to, bare = back, bare+size
	}
	if float64(bare) < backedBare*float64(points) {
		return nil
	}
	return to
}

// alongside is the number of points of all sides that look the way of a face, which
// comes as several planes where weld has drawn it, and whether it is the main of these.
func alongside(found []surface.Surface, sides []side, face side) (points int, main bool) {
	main = true
	for _, x := range sides {
		if x.surface == face.surface || r3.Dot(outOf(found[x.surface]), outOf(found[face.surface])) > severedCos {
			points += len(x.points)
			main = main && (len(x.points) < len(face.points) || x.surface >= face.surface && len(x.points) == len(face.points))
		}
	}
	return points, main
}

// backs lists the parts, as out numbers them, that show surface k behind the points of
// a face, each behind some of it and together behind most; nil where they do not.
func backs(f *surface.Field, parts [][]side, numbers, out []int32, k int, face []int32, sink r3.Vec) (list []int32) {
	var all []int32
	for _, a := range numbers {
		for _, z := range parts[a] {
			if z.surface == k && len(z.points) >= minorFlat && over(f, face, sink, z.points) >= backedPart {
				list, all = append(list, out[a]), append(all, z.points...)
			}
		}
	}
	if len(list) == 0 || over(f, face, sink, all) < overlaidLeast {
		return nil
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// filledBehind tells that half-way behind a face there is metal.
func filledBehind(f *surface.Field, points []int32, sink r3.Vec, metal func(r3.Vec) bool) bool {
	for _, i := range every(points, severedSteps) {
		if !metal(r3.Add(f.P[i], r3.Scale(0.5, sink))) {
			return false
		}
	}
	return true
}
