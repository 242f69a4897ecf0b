package draw

// style is how a layer looks: DXF's colour number and line type, the colour and
// width (mm) of SVG and PDF, and dashes in mm.
type style struct {
	number  int
	lines   string
	colour  [3]uint8
	widthMM float64
	dashMM  []float64
}

// layers in the order in which they are drawn: what is cut lies on top.
var layers = []Layer{Sheet, Edge, Centre, Bend, Size, Thin, Axis, Hidden, Outline, Visible, Frame, Text, Mark, Punch, Cut}

var styles = map[Layer]style{
	Sheet:  {8, "CONTINUOUS", [3]uint8{128, 128, 128}, 0.25, nil},
	Edge:   {7, "CONTINUOUS", [3]uint8{60, 60, 60}, 0.25, nil},
	Centre: {4, "CENTER", [3]uint8{0, 110, 130}, 0.18, []float64{12, 3, 3, 3}},
	Bend:   {3, "DASHED", [3]uint8{0, 120, 40}, 0.25, []float64{6, 3}},
	Size:   {8, "CONTINUOUS", [3]uint8{90, 90, 90}, 0.18, nil},
	Text:   {7, "CONTINUOUS", [3]uint8{0, 0, 0}, 0.25, nil},
	Mark:   {5, "CONTINUOUS", [3]uint8{20, 60, 190}, 0.25, nil},
	Punch:  {6, "CONTINUOUS", [3]uint8{150, 0, 130}, 0.25, nil},
	Cut:    {1, "CONTINUOUS", [3]uint8{190, 20, 20}, 0.35, nil},

	// Line group 0.5 of ISO 128-2: thick to thin 2 : 1; dashes of 12, gaps of 3, long
	// dashes of 24 and dots of half a line's width.
	Frame:   {7, "CONTINUOUS", [3]uint8{0, 0, 0}, 0.7, nil},
	Visible: {7, "CONTINUOUS", [3]uint8{0, 0, 0}, 0.5, nil},
	Outline: {7, "CONTINUOUS", [3]uint8{0, 0, 0}, 0.35, nil},
	Hidden:  {8, "DASHED", [3]uint8{0, 0, 0}, 0.25, []float64{3, 0.75}},
	Axis:    {8, "CENTER", [3]uint8{0, 0, 0}, 0.25, []float64{6, 0.75, 0.125, 0.75}},
	Thin:    {8, "CONTINUOUS", [3]uint8{0, 0, 0}, 0.25, nil},
}

// used are the layers that the drawing has something on, in their order.
func (d Drawing) used() []Layer {
	on := map[Layer]bool{}
	for _, it := range d.Items {
		on[it.Layer] = true
	}
	var out []Layer
	for _, l := range layers {
		if on[l] {
			out = append(out, l)
		}
	}
	return out
}

// printable replaces what no font of ours and no line of text holds.
func printable(s string) string {
	out := []rune(s)
	for i, r := range out {
		if r < ' ' || r == 127 || r > 0xFFFF || r >= 0xD800 && r < 0xE000 || r == 0xFFFD {
			out[i] = '?'
		}
	}
	return string(out)
}
