package draw

import "fmt"

// table is one table of symbols; each entry is given the table's handle.
func (x *dxfWriter) table(name string, n int, entries func(owner int)) {
	x.text(0, "TABLE")
	x.text(2, name)
	h := x.own(0)
	x.text(100, "AcDbSymbolTable")
	x.whole(70, n)
	if name == "DIMSTYLE" {
		x.text(100, "AcDbDimStyleTable")
	}
	entries(h)
	x.text(0, "ENDTAB")
}

func (x *dxfWriter) entry(kind string, owner int, class, name string) int {
	x.text(0, kind)
	var h int
	if kind == "DIMSTYLE" { // the one entry whose handle has another code
		x.handle++
		h = x.handle
		x.text(105, fmt.Sprintf("%X", h))
		x.text(330, fmt.Sprintf("%X", owner))
	} else {
		h = x.own(owner)
	}
	x.text(100, "AcDbSymbolTableRecord")
	x.text(100, class)
	x.text(2, name)
	return h
}

// dxfLines are the line types: dashes positive, gaps negative, in mm.
var dxfLines = []struct {
	name, what string
	dashMM     []float64
}{
	{"ByBlock", "", nil}, {"ByLayer", "", nil}, {"CONTINUOUS", "unbroken", nil},
	{"CENTER", "centreline", []float64{12, -3, 3, -3}}, {"DASHED", "dashed", []float64{6, -3}},
}

func (x *dxfWriter) tables(used []Layer) {
	x.table("VPORT", 0, func(int) {})
	x.table("LTYPE", len(dxfLines), func(t int) {
		for _, l := range dxfLines {
			x.entry("LTYPE", t, "AcDbLinetypeTableRecord", l.name)
			x.whole(70, 0)
			x.text(3, l.what)
			x.whole(72, 65)
			x.whole(73, len(l.dashMM))
			sum := 0.0
			for _, d := range l.dashMM {
				sum += max(d, -d)
			}
			x.real(40, sum)
			for _, d := range l.dashMM {
				x.real(49, d)
				x.whole(74, 0)
			}
		}
	})
	x.table("LAYER", len(used)+1, func(t int) {
		for _, l := range append([]Layer{"0"}, used...) {
			s, known := styles[l]
			if !known {
				s = style{number: 7, lines: "CONTINUOUS"}
			}
			x.entry("LAYER", t, "AcDbLayerTableRecord", string(l))
			x.whole(70, 0)
			x.whole(62, s.number)
			x.text(6, s.lines)
		}
	})
	x.table("STYLE", 1, func(t int) {
		x.entry("STYLE", t, "AcDbTextStyleTableRecord", "Standard")
		x.whole(70, 0)
		x.real(40, 0)
		x.real(41, 1)
		x.real(50, 0)
		x.whole(71, 0)
		x.real(42, 2.5)
		x.text(3, "txt")
		x.text(4, "")
	})
	x.table("VIEW", 0, func(int) {})
	x.table("UCS", 0, func(int) {})
	x.table("APPID", 1, func(t int) {
		x.entry("APPID", t, "AcDbRegAppTableRecord", "ACAD")
		x.whole(70, 0)
	})
	x.table("DIMSTYLE", 1, func(t int) {
		x.entry("DIMSTYLE", t, "AcDbDimStyleTableRecord", "Standard")
		x.whole(70, 0)
	})
	x.records()
}

// The layouts' handles are given before all others, since block records name
// them.
const (
	modelLayout = iota + 1
	paperLayout
)

var dxfSpaces = []struct {
	block, layout string
	handle        int
}{{"*Model_Space", "Model", modelLayout}, {"*Paper_Space", "Layout1", paperLayout}}

func (x *dxfWriter) records() {
	x.table("BLOCK_RECORD", len(dxfSpaces), func(t int) {
		for i, s := range dxfSpaces {
			h := x.entry("BLOCK_RECORD", t, "AcDbBlockTableRecord", s.block)
			x.text(340, fmt.Sprintf("%X", s.handle))
			if i == 0 {
				x.model = h
			}
		}
	})
}

// record is the handle of the i-th space's block record.
func (x *dxfWriter) record(i int) int { return x.model + i }

func (x *dxfWriter) blocks() {
	for i, s := range dxfSpaces {
		for _, end := range []bool{false, true} {
			kind, class := "BLOCK", "AcDbBlockBegin"
			if end {
				kind, class = "ENDBLK", "AcDbBlockEnd"
			}
			x.text(0, kind)
			x.own(x.record(i))
			x.text(100, "AcDbEntity")
			if i == 1 {
				x.whole(67, 1)
			}
			x.text(8, "0")
			x.text(100, class)
			if end {
				continue
			}
			x.text(2, s.block)
			x.whole(70, 0)
			x.real(10, 0)
			x.real(20, 0)
			x.real(30, 0)
			x.text(3, s.block)
			x.text(1, "")
		}
	}
}

// objects are the root dictionary with its groups and layouts.
func (x *dxfWriter) objects() {
	root, groups, layouts := x.handle+1, x.handle+2, x.handle+3
	x.dictionary(0, []string{"ACAD_GROUP", "ACAD_LAYOUT"}, []int{groups, layouts})
	x.dictionary(root, nil, nil)
	x.dictionary(root, []string{dxfSpaces[1].layout, dxfSpaces[0].layout}, []int{paperLayout, modelLayout})
	for i, s := range dxfSpaces {
		x.text(0, "LAYOUT")
		x.text(5, fmt.Sprintf("%X", s.handle))
		x.text(330, fmt.Sprintf("%X", layouts))
		x.plot(i == 0)
		x.text(100, "AcDbLayout")
		x.text(1, s.layout)
		x.whole(70, 1)
		x.whole(71, i)
		x.text(330, fmt.Sprintf("%X", x.record(i)))
	}
}

// plot is paper of no size, in mm, 1:1.
func (x *dxfWriter) plot(model bool) {
	x.text(100, "AcDbPlotSettings")
	x.text(1, "")
	x.text(4, "")
	x.text(6, "")
	x.whole(70, bit(model, 1024))
	x.whole(72, 1)
	x.whole(73, 0)
	x.whole(74, 5)
	x.real(142, 1)
	x.real(143, 1)
}

func (x *dxfWriter) dictionary(owner int, names []string, handles []int) {
	x.text(0, "DICTIONARY")
	x.text(5, fmt.Sprintf("%X", x.handle+1))
	x.handle++
	x.text(330, fmt.Sprintf("%X", owner))
	x.text(100, "AcDbDictionary")
	x.whole(281, 1)
	for i, n := range names {
		x.text(3, n)
		x.text(350, fmt.Sprintf("%X", handles[i]))
	}
}
