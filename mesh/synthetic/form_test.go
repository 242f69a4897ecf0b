package synthetic

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

func formed(t *testing.T, s Shape, f Form) []r3.Vec {
	shell, err := Mesh(s, 1)
	require.NoError(t, err)
	f.apply(shell.Points)
	return shell.Points
}

func TestOvality(t *testing.T) {
	lo, hi, sum, n := math.Inf(1), 0.0, 0.0, 0.0
	for _, p := range formed(t, Tube{OutsideDiameterMM: 20, InsideDiameterMM: 16, LengthMM: 10}, Form{OvalityMM: 0.4}) {
		if rho(p) > 9.85 { // the outside; grid points of the ends stop at 9.6
			lo, hi, sum, n = min(lo, rho(p)), max(hi, rho(p)), sum+rho(p), n+1
		}
	}
	assert.InDelta(t, 0.4, 2*(hi-lo), 0.002)
	assert.InDelta(t, 10, sum/n, 1e-9)
}

func TestBow(t *testing.T) {
	for _, p := range formed(t, Bar{OutsideDiameterMM: 6, LengthMM: 50}, Form{BowMM: 0.8}) {
		want := 0.8 * (1 - p.Z*p.Z/625)
		require.LessOrEqual(t, math.Hypot(p.X-want, p.Y), 3+1e-9)
	}
}

func TestWarp(t *testing.T) {
	for _, p := range formed(t, Plate{Rectangle(80, 20), nil, 2}, Form{WarpMM: 0.5}) {
		flat := p.Z - 0.5*(1-p.X*p.X/1600)
		require.LessOrEqual(t, math.Abs(flat), 1+1e-9)
	}
}

func TestDent(t *testing.T) {
	f := Form{Dents: []Dent{{AtMM: r3.Vec{X: 10}, Inward: r3.Vec{X: -2}, DepthMM: 0.6, SpreadMM: 2}}}
	deepest := 0.0
	for _, p := range formed(t, Bar{OutsideDiameterMM: 20, LengthMM: 20}, f) {
		require.LessOrEqual(t, rho(p), 10+1e-9)
		if p.Z == 0 && p.Y == 0 && p.X > 0 {
			deepest = max(deepest, 10-p.X)
		}
	}
	assert.InDelta(t, 0.6, deepest, 1e-9)
}

// TestToothFaults reads the tip radius at each tooth's own place.
func TestToothFaults(t *testing.T) {
	w := ToothedWheel{ToothCount: 12, TipDiameterMM: 60, RootDiameterMM: 48, ThicknessMM: 3, Teeth: StraightTeeth(),
		Faults: []ToothFault{{Tooth: 1, WornMM: 1.5}, {Tooth: 4, LeanMM: 1}, {Tooth: 8, Missing: true}}}
	s, err := Mesh(w, 0.5)
	require.NoError(t, err)
	watertight(t, s)
	tip := make([]float64, 12)
	lean := make([]float64, 12)
	for _, p := range s.Points {
		k := (int(math.Round(math.Atan2(p.Y, p.X)/(math.Pi/6))) + 12) % 12
		if rho(p) > tip[k]+1e-9 {
			tip[k], lean[k] = rho(p), 0
		}
	}
	for _, p := range s.Points { // middle of the tip's vertices, in mm along the rim
		a := math.Atan2(p.Y, p.X)
		k := (int(math.Round(a/(math.Pi/6))) + 12) % 12
		if math.Abs(rho(p)-tip[k]) < 1e-9 {
			lean[k] += math.Remainder(a-float64(k)*math.Pi/6, 2*math.Pi) * tip[k]
		}
	}
	for k := range tip {
		switch k {
		case 1:
			assert.InDelta(t, 28.5, tip[k], 1e-9)
		case 8:
			assert.Less(t, tip[k], 24.5)
		default:
			assert.InDelta(t, 30, tip[k], 1e-9)
		}
		if k != 4 {
			assert.InDelta(t, 0, lean[k], 1e-6)
		} else {
			assert.Positive(t, lean[k])
		}
	}
}

// TestRollerSeats holds every vertex of a bottom to its roller's circle.
func TestRollerSeats(t *testing.T) {
	w := ToothedWheel{ToothCount: 18, TipDiameterMM: 58.6, RootDiameterMM: 48.5, BoreDiameterMM: 12, ThicknessMM: 4, Teeth: RollerTeeth(6.35)}
	s, err := Mesh(w, 0.4)
	require.NoError(t, err)
	least := math.Inf(1)
	for _, p := range s.Points {
		if rho(p) < 24.25-1e-9 {
			continue
		}
		least = min(least, rho(p))
		a := (math.Floor(math.Atan2(p.Y, p.X)/(math.Pi/9)) + 0.5) * math.Pi / 9
		c := r3.Vec{X: (24.25 + 3.175) * math.Cos(a), Y: (24.25 + 3.175) * math.Sin(a), Z: p.Z}
		require.GreaterOrEqual(t, r3.Norm(r3.Sub(p, c)), 3.175-1e-9, "metal inside a roller at %v", p)
	}
	assert.InDelta(t, 24.25, least, 1e-3) // seats' lowest points, to a facet
}
