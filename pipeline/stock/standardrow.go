package stock

import (
	"slices"
	"strings"
)

// commonSchedules are those that most dealers keep: common practice, no source.
var commonSchedules = []string{"40", "STD", "80", "XS"}

// pipeDesignShare: AISC 360 B4.2 counts on 0.93 of the nominal wall of pipe that
// is welded by electric resistance (ASTM A53), as it does for ASTM A500.
const pipeDesignShare = 0.93

func pipeSize(r row) Size {
	sch := r["designation"]
	if sch[0] >= '0' && sch[0] <= '9' {
		sch = "Sch " + sch
	}
	wall := r.mm("wall_in")
	return Size{Mark: "NPS " + r["nps"] + " " + sch, Also: []string{"DN " + r["dn"] + " " + sch}, Form: "pipe", System: "us", Standard: "ASME B36.10M",
		ODMM: r.mm("od_in"), WallMM: wall, WallDesignMM: pipeDesignShare * wall, MassKGM: r.number("weight_lb_per_ft") * poundFootKG,
		Common: slices.Contains(commonSchedules, r["designation"]), Source: copies(r)}
}

// copies says in how many independent copies a row stood.
func copies(r row) string {
	if n := len(r["sources"]); n > 1 {
		return plain(float64(n)) + " independent copies"
	}
	return "one copy"
}

// tubeSize takes the outside diameter from the designation: AISC prints 2.38 for
// HSS2.375.
func tubeSize(r row) Size {
	od, _, _ := strings.Cut(strings.TrimPrefix(r["designation"], "HSS"), "X")
	exact := row{"od_in": od}
	return Size{Mark: r["designation"], Form: "tube", System: "us", Standard: "AISC v16, ASTM A500", ODMM: exact.mm("od_in"), WallMM: r.mm("wall_nominal_in"),
		WallDesignMM: r.mm("wall_design_a500_in"), MassKGM: r.number("weight_lb_per_ft") * poundFootKG, Common: true, Source: copies(r)}
}

func circularSize(r row) Size {
	od, wall := r.mm("od_mm"), r.mm("wall_mm")
	return Size{Mark: "CHS " + plain(od) + " x " + plain(wall), Form: "tube", System: "metric", Standard: r["standard"], ODMM: od, WallMM: wall, WallDesignMM: wall,
		MassKGM: r.number("mass_kg_per_m_formula"), Common: true, Source: copies(r)}
}

func boxSize(r row) Size {
	return Size{Mark: r["designation"], Form: "box", System: "us", Standard: "AISC v16, ASTM A500", HeightMM: r.mm("height_in"), WidthMM: r.mm("width_in"),
		WallMM: r.mm("wall_nominal_in"), WallDesignMM: r.mm("wall_design_a500_in"), MassKGM: r.number("weight_lb_per_ft") * poundFootKG, Common: true, Source: copies(r)}
}

func angleSize(r row) Size {
	s := Size{Mark: r["designation"], Form: "angle", System: r.system(), Standard: "AISC v16", HeightMM: r.either("leg1"), WidthMM: r.either("leg2"),
		ThicknessMM: r.either("thickness"), MassKGM: r.number("mass_kg_per_m"), Source: copies(r)}
	if s.System == "metric" {
		s.Standard, s.Mark = "EN 10056-1", strings.TrimSuffix(s.Mark, ".0")
	}
	return s
}

// barSize has what all tables of bar have.
func barSize(r row, form, short string) Size {
	s := Size{Form: form, System: r.system(), Standard: "United States merchant bar", MassKGM: r.number("mass_kg_per_m"),
		FromMemory: memory.MatchString(r["status"]), Source: r["status"]}
	name := r["designation"]
	if s.System == "metric" {
		s.Standard = r["system"]
		name = strings.ReplaceAll(strings.TrimSuffix(name, " mm"), " ", "")
	}
	s.Mark = short + " " + name
	return s
}

func roundSize(r row) Size {
	s := barSize(r, "round", "RD")
	s.ODMM = r.either("diameter")
	return s
}

func squareSize(r row) Size {
	s := barSize(r, "square", "SQ")
	s.WidthMM = r.either("side")
	s.HeightMM = s.WidthMM
	return s
}

// flatSize also reads thickness and width the other way round.
func flatSize(r row) Size {
	s := barSize(r, "flat", "FB")
	s.ThicknessMM, s.WidthMM = r.either("thickness"), r.either("width")
	a, b, _ := strings.Cut(strings.TrimSuffix(strings.TrimPrefix(s.Mark, "FB "), " in"), "x")
	s.Also = []string{"FB " + strings.TrimSpace(b) + " x " + strings.TrimSpace(a)}
	if s.System == "us" {
		s.Also[0] += " in"
	}
	return s
}

func plateSize(r row) Size {
	s := Size{Mark: "PL " + r["designation"], Form: "plate", System: r.system(), Standard: r["series"], ThicknessMM: r.either("thickness"),
		MassKGM2: r.number("mass_kg_per_m2"), FromMemory: memory.MatchString(r["status"]), Source: r["status"]}
	switch {
	case strings.HasPrefix(r["series"], "MSG"):
		s.Mark, s.Form = "SH "+r["designation"], "sheet"
	case s.System == "us":
		s.Mark += " in"
	default:
		s.Mark = strings.TrimSuffix(s.Mark, " mm")
	}
	return s
}
