package job

import (
	"fmt"
	"strconv"
	"strings"

	"pointup/pipeline/quantity"
)

func writeShop(b *strings.Builder, s Shop) {
	b.WriteString("shop:\n")
	fmt.Fprintf(b, "  bar_lengths: %s\n", list(s.BarLengthsMM, quantity.LengthText))
	block(b, "  ", "sheets", s.Sheets, func(s Sheet) string {
		return flow("length", quantity.LengthText(s.LengthMM), "width", quantity.LengthText(s.WidthMM))
	})
	kerfs := []string{}
	for _, p := range processes() {
		if mm, ok := s.KerfMM[p]; ok {
			kerfs = append(kerfs, p, quantity.LengthText(mm))
		}
	}
	fmt.Fprintf(b, "  kerf: %s\n", flow(kerfs...))
	block(b, "  ", "hoists", s.Hoists, func(h Hoist) string {
		return flow("name", word(h.Name), "capacity", quantity.MassText(h.CapacityKG))
	})
	fmt.Fprintf(b, "  rates: %s\n", given(s.Rates, "none", func(r Rates) string {
		return flow("currency", word(r.Currency), "hour", given(r.Hour, "none", quantity.Exact), "steel_kg", given(r.SteelKG, "none", quantity.Exact), "weld_kg", given(r.WeldKG, "none", quantity.Exact))
	}))
	p := s.Pace
	fmt.Fprintf(b, "  pace: %s\n", flow("cut_m_h", quantity.Exact(p.CutMH), "pierce_s", quantity.Exact(p.PierceS), "saw_s", quantity.Exact(p.SawS),
		"bend_h", quantity.Exact(p.BendH), "deposition_kg_h", quantity.Exact(p.DepositionKGH), "arc_share", quantity.ShareText(p.ArcShare),
		"lift_h", quantity.Exact(p.LiftH), "setup_h", quantity.Exact(p.SetupH)))
}

func haulText(h Haul) string {
	envelope := given(h.EnvelopeMM, "none", func(e [3]float64) string { return list(e[:], quantity.LengthText) })
	return flow("envelope", envelope, "mass", given(h.MassKG, "none", quantity.MassText), "route", list(h.Route, func(p Passage) string {
		return flow("width", given(p.WidthMM, "none", quantity.LengthText), "radius", given(p.RadiusMM, "none", quantity.LengthText), "slope", given(p.Slope, "none", quantity.ShareText))
	}))
}

func siteText(s Site) string {
	wind := given(s.Wind, "none", func(w Wind) string {
		return flow("code", word(w.Code), "speed", quantity.SpeedText(w.SpeedMPS), "speed_is", word(w.SpeedIs), "exposure", word(w.Exposure))
	})
	return flow("wind", wind, "ice", given(s.IceMM, "unknown", quantity.LengthText), "climbing_load", given(s.ClimbingLoadN, "unknown", quantity.ForceText),
		"soil_bearing", given(s.SoilBearingKPa, "unknown", quantity.PressureText), "seismic", given(s.Seismic, "none", func(e Seismic) string { return flow("coefficient", quantity.Exact(e.Coefficient)) }),
		"corrosivity", given(s.Corrosivity, "unknown", word), "life", given(s.LifeYears, "unknown", quantity.YearsText),
		"air", given(s.AirC, "unknown", func(a [2]float64) string { return list(a[:], quantity.TemperatureText) }))
}

func gatesText(g Gates) string {
	return flow("surface_p95", given(g.SurfaceP95MM, "none", quantity.LengthText), "missing_stock", given(g.MissingStock, "none", strconv.Itoa),
		"open_loop", given(g.OpenLoopMM, "none", quantity.LengthText), "utilisation", given(g.Utilisation, "none", quantity.Exact),
		"weld_use", given(g.WeldUse, "none", quantity.Exact), "lift_use", given(g.LiftUse, "none", quantity.Exact), "unlifted", given(g.Unlifted, "none", strconv.Itoa),
		"props", given(g.Props, "none", strconv.Itoa), "overhead_weld", given(g.OverheadWeldMM, "none", quantity.LengthText), "sections", given(g.Sections, "none", strconv.Itoa),
		"field_weld", given(g.FieldWeldMM, "none", quantity.LengthText), "blocked", given(g.Blocked, "none", strconv.Itoa), "access", given(g.Access, "none", strconv.Itoa), "made_change", given(g.MadeChangeMM, "none", quantity.LengthText))
}

// flow prints keys and values in turn as {key: value, key: value}.
func flow(pairs ...string) string {
	parts := []string{}
	for i := 0; i+1 < len(pairs); i += 2 {
		parts = append(parts, pairs[i]+": "+pairs[i+1])
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// list prints items as [a, b].
func list[T any](items []T, print func(T) string) string {
	parts := make([]string, len(items))
	for i, x := range items {
		parts[i] = print(x)
	}
	return "[" + strings.Join(parts, ", ") + "]"
}

// block prints a key and its items, a line each; [] where there are none.
func block[T any](b *strings.Builder, indent, key string, items []T, print func(T) string) {
	if len(items) == 0 {
		fmt.Fprintf(b, "%s%s: []\n", indent, key)
		return
	}
	fmt.Fprintf(b, "%s%s:\n", indent, key)
	for _, x := range items {
		fmt.Fprintf(b, "%s  - %s\n", indent, print(x))
	}
}

// given prints what x points at, or the word for "not given".
func given[T any](x *T, none string, print func(T) string) string {
	if x == nil {
		return none
	}
	return print(*x)
}

// word prints a text as YAML: bare where every reader takes it as the text that
// it is, else in single quotes; "" for an empty one.
func word(s string) string {
	if s == "" {
		return ""
	}
	bare := s[0] >= 'A' && s[0] <= 'Z' || s[0] >= 'a' && s[0] <= 'z'
	for _, c := range s {
		bare = bare && (c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || strings.ContainsRune(" ._-/", c))
	}
	switch strings.ToLower(s) {
	case "true", "false", "yes", "no", "on", "off", "null", "y", "n", "none", "unknown":
		bare = false
	}
	if bare {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", "''") + "'"
}
