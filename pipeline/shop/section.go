package shop

import (
	"fmt"
	"math"

	"pointup/pipeline/draw"
)

// SectionTemplate is the outline of a freeform piece across its length at a
// station, full size: a rib to form it by. loops run in the piece's axis × ref and
// axis; those that end where they start are cut out, others are marked. The cross
// is the piece's own axis, the same in all stations. ok is false where the plane
// meets nothing.
func SectionTemplate(mark, name string, number int, stationMM float64, loops [][][2]float64) (d draw.Drawing, ok bool) {
	d = draw.Drawing{Title: fmt.Sprintf("%s, section %d", title(mark, name), number), Notes: []string{
		fmt.Sprintf("%.1f mm from the middle of its length; outside of the surface, take off the thickness of a skin for a rib within it", stationMM),
		"crosses of all sections lie on one line"}}
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, l := range loops {
		n := len(l)
		closed := n > 3 && math.Hypot(l[0][0]-l[n-1][0], l[0][1]-l[n-1][1]) < 1e-6
		layer := draw.Mark
		if closed {
			l, layer = l[:n-1], draw.Cut
		}
		if len(l) < 2 {
			continue
		}
		c := draw.Polyline(closed, l...)
		d.Add(layer, c)
		a, b := draw.Box(c)
		for k := range lo {
			lo[k], hi[k] = math.Min(lo[k], a[k]), math.Max(hi[k], b[k])
		}
	}
	if len(d.Items) == 0 {
		return d, false
	}
	d.Add(draw.Centre, draw.Segment(math.Min(lo[0], 0)-20, 0, math.Max(hi[0], 0)+20, 0), draw.Segment(0, math.Min(lo[1], 0)-20, 0, math.Max(hi[1], 0)+20))
	d.Add(draw.Text, draw.Label{At: [2]float64{lo[0], lo[1] - 40}, HeightMM: 6, Text: d.Title}, draw.Label{At: [2]float64{lo[0], lo[1] - 55}, HeightMM: 6, Text: d.Notes[0]})
	return d, true
}
