package stock

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/spatial/r3"
)

func membersOf(f []Family) (out [][]int) {
	for _, x := range f {
		out = append(out, x.Members)
	}
	return out
}

func TestFamilies(t *testing.T) {
	parts := []Part{bar("E01", 60.1, 500), tube("E02", 60.1, 4, 500), bar("E03", 60.3, 500), bar("E04", 64, 500), plate("E05", 12, 300, 200), bar("E06", 60.2, 700),
		piece("E07", "disc", "outside_diameter_mm", 300, "thickness_mm", 12.1), piece("E08", "freeform"), piece("E09", "freeform"),
		piece("E10", "ring", "centreline_diameter_mm", 900, "section_diameter_mm", 60.2)}
	f := Families(parts, nil)
	assert.Equal(t, [][]int{{0, 2, 5, 9}, {1}, {3}, {4, 6}, {7}, {8}}, membersOf(f))
	assert.Equal(t, []string{"A1", "A1", "A2", "A3"}, f[0].Marks)
	assert.Equal(t, "round", f[0].Class)
	assert.InDelta(t, 60.2, f[0].Lead[0].ValueMM, 1e-3)
	assert.Equal(t, "section_diameter_mm", demandOf(parts[9]).lead[0].Key)
	assert.Equal(t, []string{"D1", "D2"}, f[3].Marks)

	parts[2].Pin = "RD 60"
	assert.Equal(t, [][]int{{0, 5, 9}, {1}, {2}, {3}, {4, 6}, {7}, {8}}, membersOf(Families(parts, nil)))
	// A relation holds together what 2 % part, but not what 6 % do.
	same := []Relation{{Kind: "equal", Of: "outside_diameter_mm", Parts: []int{3, 0, -1, 99}}}
	assert.Equal(t, []int{0, 5, 9}, Families(parts, same)[0].Members)
	parts[3] = bar("E04", 61.5, 500)
	assert.Equal(t, []int{0, 3, 5, 9}, Families(parts, same)[0].Members)
}

func TestLetters(t *testing.T) {
	for n, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA"} {
		assert.Equal(t, want, letters(n), n)
	}
}

// Five sizes 4 % apart, twelve pieces each with noise of their u95: all families
// are found, and few are split by chance.
func TestFamiliesByNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	split := 0
	for range 50 {
		var parts []Part
		for size := range 5 {
			for k := range 12 {
				od := 60 * math.Pow(1.04, float64(size))
				p := bar(fmt.Sprint(size, k), od+0.3/1.96*r.NormFloat64(), 500)
				p.Dims[0].U95 = 0.3
				parts = append(parts, p)
			}
		}
		f := Families(parts, nil)
		split += len(f) - 5
		for _, x := range f {
			for _, i := range x.Members {
				assert.Equal(t, x.Members[0]/12, i/12, "never two sizes in one family")
			}
		}
	}
	assert.LessOrEqual(t, split, 5, "of 250 families")
}

func TestAlike(t *testing.T) {
	mitred := func(turn float64) Part {
		p := bar("", 60, 500)
		for k, a := range []float64{0, turn} {
			side := float64(2*k - 1)
			sin, cos := math.Sincos(a * math.Pi / 180)
			p.Ends = append(p.Ends, End{Kind: "mitre", AngleDeg: 45, AtMM: r3.Vec{Z: side * 250}, Out: r3.Unit(r3.Vec{X: cos, Y: sin, Z: side})})
		}
		return p
	}
	assert.True(t, alike(mitred(40), mitred(40)))
	assert.True(t, alike(mitred(180), mitred(180)))
	assert.False(t, alike(mitred(40), mitred(-40)), "the other hand")
	assert.False(t, alike(mitred(40), mitred(90)))
	turned := mitred(40)
	turned.Ends[0], turned.Ends[1] = turned.Ends[1], turned.Ends[0]
	assert.True(t, alike(mitred(40), turned), "listed the other way round")

	holed := func(kind string, at ...[2]float64) Part {
		p := plate("", 10, 400, 200)
		p.Kind = kind
		for _, c := range at {
			p.Holes = append(p.Holes, Hole{Shape: "round", CentreMM: c, DiameterMM: 20})
		}
		return p
	}
	a, over := [][2]float64{{100, 50}, {20, -30}}, [][2]float64{{20, 30}, {100, -50}}
	assert.True(t, alike(holed("plate", a...), holed("plate", over...)), "a flat plate is turned over")
	assert.False(t, alike(holed("rolled_plate", a...), holed("rolled_plate", over...)), "a rolled one is not")
	assert.True(t, alike(holed("rolled_plate", a...), holed("rolled_plate", [2]float64{-100, -50}, [2]float64{-20, 30})), "but end for end")
	assert.False(t, alike(holed("plate", a...), holed("plate", [2]float64{100, 50}, [2]float64{20, -60})))
	at := func(deg float64) [2]float64 {
		s, c := math.Sincos(deg * math.Pi / 180)
		return [2]float64{80 * c, 80 * s}
	}
	assert.True(t, alike(holed("disc", at(0), at(90), at(200)), holed("disc", at(30), at(120), at(230))))
	assert.False(t, alike(holed("disc", at(0), at(90), at(200)), holed("disc", at(30), at(120), at(250))))

	left, right := piece("", "coil", "turns", 3), piece("", "coil", "turns", 3)
	left.Hand, right.Hand = "left", "right"
	assert.False(t, alike(left, right))
}

func TestSectionOf(t *testing.T) {
	turn := func(deg float64, points ...[2]float64) (out []Step) {
		s, c := math.Sincos(deg * math.Pi / 180)
		for _, p := range points {
			out = append(out, Step{To: [2]float64{c*p[0] - s*p[1], s*p[0] + c*p[1]}})
		}
		return out
	}
	angle := [][2]float64{{0, 0}, {80, 0}, {80, 8}, {8, 8}, {8, 60}, {0, 60}}
	for _, r := range []struct {
		name   string
		points [][2]float64
		class  string
	}{
		{"box", [][2]float64{{0, 0}, {100, 0}, {100, 60}, {0, 60}}, "box"},
		{"box with cut corners", [][2]float64{{5, 0}, {95, 0}, {100, 5}, {100, 55}, {95, 60}, {5, 60}, {0, 55}, {0, 5}}, "box"},
		{"angle", angle, "angle"},
		{"channel", [][2]float64{{0, 0}, {100, 0}, {100, 40}, {94, 40}, {94, 6}, {6, 6}, {6, 40}, {0, 40}}, "shape"},
		{"tee", [][2]float64{{-40, 0}, {40, 0}, {40, 8}, {4, 8}, {4, 60}, {-4, 60}, {-4, 8}, {-40, 8}}, "shape"},
		{"zed", [][2]float64{{0, 0}, {8, 0}, {8, 52}, {48, 52}, {48, 60}, {0, 60}, {0, 8}, {-40, 8}, {-40, 0}}, "shape"},
		{"triangle", [][2]float64{{0, 0}, {80, 0}, {0, 60}}, "shape"},
	} {
		for _, deg := range []float64{0, 33, 90, 200} {
			s := sectionOf(turn(deg, r.points...))
			assert.Equal(t, r.class, s.class, "%s at %g°", r.name, deg)
			if r.class == "angle" {
				assert.InDeltaSlice(t, []float64{80, 60, 8}, []float64{s.box.longMM, s.box.shortMM, s.thicknessMM}, 1e-9)
			}
		}
	}
	assert.Equal(t, "shape", sectionOf(nil).class)
	assert.Equal(t, "shape", sectionOf([]Step{{}, {}, {}}).class)
}
