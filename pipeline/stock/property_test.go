package stock

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/pipeline/job"
)

// anyPart has some of its kind's dimensions, of any size, small, great or nothing,
// any ends, holes and outline.
func anyPart(r *rand.Rand, id string) Part {
	keys := strings.Fields("outside_diameter_mm inside_diameter_mm wall_mm length_mm width_mm height_mm thickness_mm centreline_diameter_mm section_diameter_mm " +
		"section_bore_mm sweep_deg turns pitch_mm diameter_mm large_diameter_mm small_diameter_mm tip_diameter_mm root_diameter_mm seat_diameter_mm seat_pitch_mm tooth_count")
	p := piece(id, job.Kinds()[r.IntN(len(job.Kinds()))])
	value := func() float64 {
		return []float64{0, 1e-9, 1e9, math.Exp(r.Float64() * 8), math.Exp(r.Float64() * 8), math.Exp(r.Float64() * 8)}[r.IntN(6)]
	}
	for _, k := range keys {
		if r.IntN(3) > 0 {
			p.Dims = append(p.Dims, Dim{Key: k, Value: value(), U95: value() * float64(r.IntN(2)) * 1e-3, Count: strings.HasSuffix(k, "_count")})
		}
	}
	p.Section = []string{"", "flat", "round"}[r.IntN(3)]
	for range r.IntN(3) {
		p.Ends = append(p.Ends, End{Kind: []string{"square", "mitre", "open", "hidden", "saddle"}[r.IntN(5)], AngleDeg: 90 * r.Float64()})
	}
	for range r.IntN(7) {
		p.Outline = append(p.Outline, Step{To: [2]float64{value(), -value()}, Via: [2]float64{value(), value()}, Arc: r.IntN(2) > 0})
	}
	for range r.IntN(3) {
		p.Holes = append(p.Holes, Hole{Shape: []string{"round", "slot", "diamond", "rectangle", "other"}[r.IntN(5)], DiameterMM: value(), AcrossMM: [2]float64{value(), value()}})
	}
	for range r.IntN(2) {
		p.Segments = append(p.Segments, Segment{Kind: "arc", Dims: []Dim{{Key: "sweep_deg", Value: value()}, {Key: "centreline_diameter_mm", Value: value()}}})
	}
	p.Made = r.IntN(8) == 0
	return p
}

// Whatever the parts, every one is in one family, all numbers are finite, the bound
// is under the cost, and nothing panics.
func TestAnyParts(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	cat := both(t)
	for round := range 150 {
		var parts []Part
		for i := range 1 + r.IntN(6) {
			parts = append(parts, anyPart(r, fmt.Sprintf("E%02d", i+1)))
		}
		c, err := Choose(parts, nil, cat, DefaultOptions())
		require.NoError(t, err)
		finite(t, reflect.ValueOf(c.Families), fmt.Sprintf("round %d", round))
		finite(t, reflect.ValueOf(c.Decisions), fmt.Sprintf("round %d", round))
		require.LessOrEqual(t, c.LowerBound, c.Cost+1e-9)
		seen := map[int]bool{}
		for _, f := range c.Families {
			require.Len(t, f.Each, len(f.Members))
			for _, i := range f.Members {
				require.False(t, seen[i])
				seen[i] = true
			}
		}
		require.Len(t, seen, len(parts))
		finite(t, reflect.ValueOf(AsStock(parts, c)), fmt.Sprintf("round %d", round))
		finite(t, reflect.ValueOf(MeasureFirst(c, parts, 5)), fmt.Sprintf("round %d", round))
		for _, f := range FoundIn(parts, nil, 12) {
			require.False(t, math.IsNaN(f.ValueMM+f.U95MM))
		}
	}
}

// finite holds every number in a value.
func finite(t *testing.T, v reflect.Value, at string) {
	t.Helper()
	switch v.Kind() {
	case reflect.Float64:
		require.False(t, math.IsNaN(v.Float()) || math.IsInf(v.Float(), 0), at)
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			finite(t, v.Index(i), fmt.Sprintf("%s[%d]", at, i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			finite(t, v.Field(i), at+"."+v.Type().Field(i).Name)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			finite(t, v.Elem(), at)
		}
	}
}

// The order of the parts does not reach the choice.
func TestShuffled(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 14))
	var parts []Part
	for i := range 25 {
		parts = append(parts, bar(fmt.Sprintf("E%02d", i+1), 20*math.Pow(1.12, float64(i%14))+0.05*r.Float64(), 300+float64(i)))
	}
	marks := func(parts []Part) map[string]string {
		out := map[string]string{}
		c := chosen(t, "both", nil, parts...)
		require.True(t, c.Exact)
		for _, f := range c.Families {
			for _, i := range f.Members {
				out[parts[i].ID] = f.Size.Form + f.Size.Mark
			}
		}
		return out
	}
	want := marks(parts)
	for range 5 {
		r.Shuffle(len(parts), func(i, j int) { parts[i], parts[j] = parts[j], parts[i] })
		require.Equal(t, want, marks(parts))
	}
}
