package rig

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// upend raises the end of a beam along x.
func upend() TurnOptions {
	opt := TurnOptions{AxisDir: r3.Vec{Y: -1}, ToDeg: 90, Steps: 18, Lift: bare(60)}
	return opt
}

// TestTurnByHand: lugs on the top edge, 6 m apart, the centre of gravity half way and
// 100 mm below their line: turned by θ the head carries 1/2 + 100/6000·tan θ, all
// from tan θ = 30, that is 88.09°.
func TestTurnByHand(t *testing.T) {
	tail := Lug{"E01", r3.Vec{Y: 100, Z: 200}}
	turn, err := TurnOver([]Body{beam(900)}, Lug{"E01", r3.Vec{X: 6000, Y: 100, Z: 200}}, &tail, upend())
	require.NoError(t, err)
	require.Len(t, turn.Poses, 19)
	for _, p := range turn.Poses[:18] {
		share := 0.5 + math.Tan(p.TurnDeg*deg)/60
		assert.InDelta(t, 900*share, p.HeadKG, 1e-6)
		assert.InDelta(t, 900*(1-share), p.TailKG, 1e-6)
		assert.Equal(t, Shared, p.Holds)
		assert.InDelta(t, 0, p.SidewaysMM, 1e-9)
		assert.InDelta(t, 100/math.Cos(p.TurnDeg*deg), p.BelowMM, 1e-6) // of the line, straight above
	}
	assert.Equal(t, HeadAlone, turn.Poses[18].Holds)
	assert.InDelta(t, 90, turn.AloneFromDeg, 1e-9)
	assert.InDelta(t, 900, turn.HeadMostKG, 1e-9)
	assert.InDelta(t, 6000, turn.HeadRoomMM, 60)
}

// TestTurnOnGround: a beam that stands on its lower edge, the head lug on the edge
// across: both arms shrink alike, half the load at every step until it balances.
func TestTurnOnGround(t *testing.T) {
	turn, err := TurnOver([]Body{beam(900)}, Lug{"E01", r3.Vec{X: 6000, Y: 100, Z: 200}}, nil, upend())
	require.NoError(t, err)
	assert.True(t, turn.TailOnGround)
	for _, p := range turn.Poses[:18] {
		assert.InDelta(t, 450, p.HeadKG, 1e-6)
		assert.InDelta(t, 0, p.TailMM.Z, 1e-9)
	}
}

// TestTurnMirrored: turning the other end up about the opposite axis is the same.
func TestTurnMirrored(t *testing.T) {
	body := spread(beam(900), 0.9, 1.1)
	post := block("E02", r3.Vec{X: 2000, Y: 50, Z: 200}, 200, 100, 300, 50)
	mirror := block("E02", r3.Vec{X: 3800, Y: 50, Z: 200}, 200, 100, 300, 50)
	opt := upend()
	opt.ToDeg = 80
	a, err := TurnOver([]Body{body, post}, Lug{"E01", r3.Vec{X: 6000, Y: 100, Z: 200}}, nil, opt)
	require.NoError(t, err)
	opt.AxisDir = r3.Vec{Y: 2}
	b, err := TurnOver([]Body{body, mirror}, Lug{"E01", r3.Vec{X: 0, Y: 100, Z: 200}}, nil, opt)
	require.NoError(t, err)
	for i := range a.Poses {
		assert.InDelta(t, a.Poses[i].HeadKG, b.Poses[i].HeadKG, 1e-6)
		assert.InDelta(t, a.Poses[i].TailKG, b.Poses[i].TailKG, 1e-6)
		assert.InDelta(t, a.Poses[i].BelowMM, b.Poses[i].BelowMM, 1e-6)
	}
}

// TestTurnCautions: lugs on the under side leave the centre of gravity over them.
func TestTurnCautions(t *testing.T) {
	tail := Lug{"E01", r3.Vec{Y: 60}}
	turn, err := TurnOver([]Body{beam(900)}, Lug{"E01", r3.Vec{X: 6000, Y: 60}}, &tail, upend())
	require.NoError(t, err)
	assert.InDelta(t, -100, turn.Poses[0].BelowMM, 1e-9)
	assert.InDelta(t, 40, turn.Poses[0].SidewaysMM, 1e-9)
	said := false
	for _, c := range turn.Cautions {
		said = said || c == "at 0° the centre of gravity can stand over the line of the lugs: the load can roll over; use lugs on both sides of it, or higher ones"
	}
	assert.True(t, said)
}

func TestTurnRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		head  float64
		spoil func(*TurnOptions)
		says  string
	}{
		"steep axis": {6000, func(o *TurnOptions) { o.AxisDir.Z = 1 }, "not level"},
		"no axis":    {6000, func(o *TurnOptions) { o.AxisDir = r3.Vec{} }, "not level"},
		"other way":  {6000, func(o *TurnOptions) { o.AxisDir.Y = 1 }, "turn the axis round"},
		"no turn":    {6000, func(o *TurnOptions) { o.ToDeg = 0 }, "over 0°"},
		"NaN":        {6000, func(o *TurnOptions) { o.ToDeg = math.NaN() }, "over 0°"},
		"no steps":   {6000, func(o *TurnOptions) { o.Steps = 0 }, "2 to 180"},
		"same side":  {2000, func(*TurnOptions) {}, "other side"},
	} {
		t.Run(name, func(t *testing.T) {
			opt := upend()
			c.spoil(&opt)
			tail := Lug{"E01", r3.Vec{Y: 100, Z: 200}}
			_, err := TurnOver([]Body{beam(900)}, Lug{"E01", r3.Vec{X: c.head, Y: 100, Z: 200}}, &tail, opt)
			assert.ErrorContains(t, err, c.says)
		})
	}
}
