package site

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// HSS12×10×3/8, KL = 0.8·20 ft: 344 kip in allowable stress (AISC Design Examples 14.0,
// example E.9). A 3830 mm² column of i = 38.3 mm, 4 m, 275 MPa, curve c: λ̄ 1.203, χ 1/(1.4694 +
// 0.8437), 455 kN (published calculation to EN 1993-1-1 of a UC 152 × 152 × 30; E 210 GPa).
func TestPublishedColumns(t *testing.T) {
	us := Metal{ElasticMPa: 29000, YieldMPa: 46}
	c := newColumn(Section{AreaMM2: 14.6, IyMM4: 14.6 * 4.01 * 4.01, IzMM4: 14.6 * 4.61 * 4.61}, unbraced{240, 0.8}, us, true)
	near(t, 47.9, c.slender, 1e-3, "KL/r")
	near(t, 344, c.resistN(), 2e-3, "Pn/Ω, kip")
	en := Metal{ElasticMPa: 210e3, YieldMPa: 275}
	c = newColumn(Section{AreaMM2: 3830, IyMM4: 3830 * 38.3 * 38.3, IzMM4: 3830 * 67.6 * 67.6}, unbraced{4000, 1}, en, false)
	near(t, 1.203, math.Sqrt(c.fy/c.elastic), 1e-3, "λ̄")
	near(t, 3830*275/(1.4694+0.8437), c.resistN(), 1e-3, "N_b,Rd, N")
}

// Both branches of E3 meet at Fy/Fe = 2.25 (0.658^2.25 = 0.390, 0.877/2.25 = 0.390); both of
// H1-1 give 1 at a fifth of the axial strength and 0.9 of the bending one; with no
// bending nothing but the axial share is left.
func TestColumnBranchesMeet(t *testing.T) {
	near(t, criticalMPa(250, 250/2.25), criticalMPa(250, 250/2.2500001), 1e-3, "E3")
	c := column{asce: true, area: 1000, wy: 1e4, wz: 1e4, fy: 250, round: true, elastic: 1e9}
	m := 0.9 * 250 * 1e4 / omega
	near(t, 1, c.use(0.2*c.resistN(), m, 0), 1e-9, "H1-1a")
	near(t, 1, c.use(0.1999999*c.resistN(), 0, m), 1e-6, "H1-1b")
	c.asce = false
	near(t, 0.5, c.use(0.5*c.resistN(), 0, 0), 1e-12, "EN")
	require.Greater(t, c.use(0.5*c.resistN(), m, m), c.use(0.5*c.resistN(), m, 0))
}

// A mast stands free; two masts with a tube between their tops hold each other, and
// the tube at both ends.
func TestUnbracedLengths(t *testing.T) {
	s, _ := checked(t, "EN 1991-1-4", nil)
	require.Equal(t, unbraced{4000, freeEnd}, s.unbracedOf(0))

	a, b, tie := mast(219.1, 8.2, 4000), mast(219.1, 8.2, 4000), mast(88.9, 5.5, 1780.9)
	b.Part.ID, tie.Part.ID = "E02", "E03"
	b.Part.Frame.OriginMM.X = 2000
	for i := range b.PointsMM {
		b.PointsMM[i].X += 2000
	}
	lay := func(v r3.Vec) r3.Vec { return r3.Vec{X: v.Z + 109.55, Y: v.Y, Z: 3950 - v.X} }
	tie.Part.Frame = stock.Frame{OriginMM: lay(tie.Part.Frame.OriginMM), Axis: r3.Vec{X: 1}, Ref: r3.Vec{Z: -1}}
	for i, x := range tie.PointsMM {
		tie.PointsMM[i] = lay(x)
	}
	at := func(x float64) []stock.SeamAt {
		return seamAt(1, r3.Vec{X: x, Y: -40, Z: 3950}, r3.Vec{X: x, Y: 40, Z: 3950})
	}
	p, err := Build([]Piece{a, b, tie}, []stock.Contact{{A: 0, B: 2, Seam: at(109.55)}, {A: 1, B: 2, Seam: at(1890.45)}}, steel, DefaultOptions())
	require.NoError(t, err)
	u := p.unbracedOf(2)
	require.Equal(t, 1.0, u.factor)
	near(t, 1780.9, u.lengthMM, 1e-9, "tie")
	u = p.unbracedOf(0)
	require.Equal(t, 1.0, u.factor, "held at its foot and by the other mast over the tie")
	require.InDelta(t, 3950, u.lengthMM, 120)
}

// A slender mast with a heavy disc: the load on a rigid post (tan kL = 1/ka), a third of the
// mast's weight beside the disc's; all forces grow by 1/(1 − 1/α), which is seen at the foot.
func TestSwayRaisesForces(t *testing.T) {
	pieces, contacts := mastAndDisc()
	pieces[0] = mast(114.3, 4, 4000)
	pieces[1].MassKG = 4000
	s, err := Build(pieces, contacts, steel, DefaultOptions())
	require.NoError(t, err)
	opt := DefaultCheckOptions()
	opt.ClimbingN = 0
	r, err := Check(s, steel, pressure(t, "EN 1991-1-4"), opt)
	require.NoError(t, err)
	sec := steel.round(114.3, 106.3)
	k := math.Sqrt(1.35 * gravityMS2 * (4000 + s.MassKG()/3 - 4000.0/3) / (steel.ElasticMPa * sec.IyMM4))
	low, high := 0.0, math.Pi/2/4000
	for range 60 {
		if mid := (low + high) / 2; math.Tan(mid*4000) < 1/(mid*500) {
			low = mid
		} else {
			high = mid
		}
	}
	near(t, low*low/(k*k), r.CriticalFactor, 0.01, "α")
	near(t, 1/(1-1/r.CriticalFactor), r.SecondOrder, 1e-12, "raised")
	for _, b := range r.Base {
		if b.Combination == "0.9 G + 1.5 W" {
			near(t, 0.9*gravityMS2*s.MassKG()*r.SecondOrder, b.DownN, 1e-6, "down")
		}
	}
}

// 219.1/8.2 = 26.7 against 0.11 E/Fy = 92.4 and 90·235/250 = 84.6.
func TestWallsOfTubes(t *testing.T) {
	m := mast(219.1, 8.2, 4000)
	us, en := m.wallOf(steel, true), m.wallOf(steel, false)
	near(t, 219.1/8.2, us.Ratio, 1e-12, "D/t")
	near(t, 0.11*210e3/250, us.Limit, 1e-12, "AISC 360 table B4.1a")
	near(t, 84.6, en.Limit, 1e-12, "EN 1993-1-1 table 5.2")
	bar := mast(60, 30, 1000)
	bar.Part.Dims = dims("outside_diameter_mm", 60.0, "length_mm", 1000.0)
	require.Nil(t, bar.wallOf(steel, true))
}

// 0.2 of every weight across: 0.7 of it beside 0.6 of the weight, by hand at the foot; the
// same from all sides, and stress at the foot N/A + M/W.
func TestEarthquakeByHand(t *testing.T) {
	s, r := checked(t, "ASCE 7-16", func(o *CheckOptions) { o.Seismic = 0.2 })
	tube := s.MassKG() - s.Pieces[1].MassKG
	for _, b := range r.Base {
		if b.Combination == "0.6 D + 0.7 E" {
			near(t, 0.7*0.2*gravityMS2*s.MassKG(), b.ShearN, 1e-6, "shear")
			near(t, 0.7*0.2*gravityMS2*(tube*2000+s.Pieces[1].MassKG*4500), b.OverturnNMM, 1e-6, "overturning")
			near(t, 0.6*gravityMS2*s.MassKG(), b.DownN, 1e-6, "down")
			return
		}
	}
	t.Fatal("no combination with an earthquake")
}
