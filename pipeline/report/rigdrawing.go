package report

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"pointup/pipeline/result"
)

// turnsDrawn is how many loads are drawn: the last of the list, sub-assemblies,
// sections and the whole, before single pieces.
const turnsDrawn = 4

// turnDrawings show loads as they lie, half way and as they stand: the line from the
// foot to the head lug, the centre of gravity, what head and foot carry.
func turnDrawings(r *result.Rig) []drawing {
	var out []drawing
	for i := len(r.Turns) - 1; i >= 0 && len(out) < turnsDrawn; i-- {
		if x := r.Turns[i]; x.Head != nil && len(x.Poses) > 1 {
			out = append(out, turnDrawing(x))
		}
	}
	return out
}

func turnDrawing(x result.Turn) drawing {
	const wide, high, room = 300.0, 190.0, 130.0
	last := len(x.Poses) - 1
	size := 1.0
	for _, p := range x.Poses {
		size = max(size, span(p), float64(p.HeadMM[2]), float64(p.CentreMM[2]))
	}
	k := room / size
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.0f %.0f" font-size="11" fill="currentColor" stroke="currentColor">`, 3*wide, high)
	for n, i := range []int{0, (last + 1) / 2, last} {
		p := x.Poses[i]
		left, floor := float64(n)*wide+70, high-25
		ux, uy := footToHead(x.Poses[0])
		at := func(q result.Point) (float64, float64) {
			s := (float64(q[0])-float64(p.FootMM[0]))*ux + (float64(q[1])-float64(p.FootMM[1]))*uy
			return left + k*s, floor - k*float64(q[2])
		}
		fx, fy := at(p.FootMM)
		hx, hy := at(p.HeadMM)
		cx, cy := at(p.CentreMM)
		fmt.Fprintf(&b, `<path fill="none" d="M%.1f %.1fH%.1f"/><path fill="none" stroke-width="2.5" d="M%.1f %.1fL%.1f %.1f"/>`, left-40, floor, left+190, fx, fy, hx, hy)
		fmt.Fprintf(&b, `<path fill="none" stroke-dasharray="4 3" d="M%.1f %.1fV12"/><path fill="none" d="M%.1f %.1fh10M%.1f %.1fv10"/><circle fill="none" cx="%.1f" cy="%.1f" r="4"/>`, hx, hy, cx-5, cy, cx, cy-5, cx, cy)
		fmt.Fprintf(&b, `<g stroke="none"><text x="%.1f" y="14">head %s kg</text><text x="%.1f" y="%.1f">foot %s kg</text><text x="%.1f" y="%.1f">%s°</text></g>`,
			hx+5, fixed(float64(p.HeadKG), 0), fx-40, floor+18, fixed(float64(p.FootKG), 0), left+120, floor+18, fixed(float64(p.TurnDeg), 0))
	}
	b.WriteString(`</svg>`)
	return drawing{SVG: template.HTML(b.String()), Alt: "Three poses of a turn from lying to standing, with the loads of head line and foot.",
		Caption: x.Of + " turned up on its foot: the line from foot to head lug, the centre of gravity (ring), the head line (dashed) straight up. Loads are the greatest over the range of the centre of gravity, dynamic factor included. Preliminary: a competent person plans and checks it."}
}

// footToHead is the level direction from the foot to the head as a load lies, x where they
// stand over each other.
func footToHead(p result.TurnPose) (x, y float64) {
	x, y = float64(p.HeadMM[0]-p.FootMM[0]), float64(p.HeadMM[1]-p.FootMM[1])
	if l := math.Hypot(x, y); l > 1e-6 {
		return x / l, y / l
	}
	return 1, 0
}

// span is the level distance from foot to head.
func span(p result.TurnPose) float64 {
	return math.Hypot(float64(p.HeadMM[0]-p.FootMM[0]), float64(p.HeadMM[1]-p.FootMM[1]))
}
