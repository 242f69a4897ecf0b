package shop

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// OrderOptions say what is dear and what is safe.
type OrderOptions struct {
	OverheadHM float64 // hours that a metre of overhead weld takes more
	TurnH      float64 // hours to turn what stands
	PropH      float64 // hours a step that needs a prop
	LiftH      float64 // hours a crane move
	HandKG     float64 // a piece up to this is lifted by hand
	TurnMostKG float64 // nothing heavier is turned
	Inside     float64 // share by which the centre of gravity lies inside the base
	FloorMM    float64 // what lies this little over the lowest point rests on the floor
	GroundMM   float64 // what reaches this low in SITE stands on the ground
	WeldMPa    float64 // least strength of weld metal
	UseMost    float64 // share of its allowable that a new piece may use before it needs a hold
	Steps      int     // bound of the search: partial assemblies looked at
}

// DefaultOrderOptions: hours are common practice without a source. 25 kg is what a
// man may lift near his body (guidance on manual handling, from memory).
func DefaultOrderOptions() OrderOptions {
	return OrderOptions{OverheadHM: 2, TurnH: 2, PropH: 1, LiftH: 0.5, HandKG: HandKG, TurnMostKG: 2000, Inside: 0.10, FloorMM: 5, GroundMM: 10, WeldMPa: 482.6, UseMost: 0.25, Steps: 12000}
}

// OrderAssumptions is what every build order rests on.
func OrderAssumptions() []string {
	return []string{
		"preliminary planning for qualified people: who lifts, props and turns plans it anew",
		"a piece is set in its place in what stands, and its seams to it are welded in that pose before the next piece comes",
		"what stands may be turned so that any of SITE's six directions points up; whether a turn is possible in the shop is not checked",
		"a piece is held until it is joined to more where its weight alone uses over a quarter of 0.30 FEXX of its seams to what stands; a sleeve, pin or gusset may spare that; pieces that come to hang on it later are not counted",
		"the base is the convex outline of what rests on the floor; the shares and hours of the options are common practice, no source",
		"whether a piece can be moved in past those that stand is not checked",
		"positions of welding: limits of AWS D1.1, from memory; names as in ISO 6947",
		"the closing piece is cut to a template on trial assembly (common practice, no source)",
	}
}

func (o OrderOptions) check() error {
	for what, x := range map[string]float64{"hours": min(o.OverheadHM, o.TurnH, o.PropH, o.LiftH), "masses": min(o.HandKG, o.TurnMostKG), "lengths": min(o.FloorMM, o.GroundMM)} {
		if !(x >= 0) {
			return fmt.Errorf("build order: %s must not be negative", what)
		}
	}
	switch {
	case math.IsInf(o.OverheadHM+o.TurnH+o.PropH+o.LiftH, 0) || math.IsNaN(o.OverheadHM+o.TurnH+o.PropH+o.LiftH):
		return fmt.Errorf("build order: hours must be numbers")
	case !(o.Inside >= 0) || o.Inside >= 1:
		return fmt.Errorf("build order: the share inside the base is %g; it must be from 0 to under 1", o.Inside)
	case !(o.WeldMPa > 0) || !(o.UseMost > 0) || o.UseMost > 1:
		return fmt.Errorf("build order: the strength of the weld must be over 0 MPa and the share that a piece uses over 0 and at most 1")
	case o.Steps < 1:
		return fmt.Errorf("build order: %d steps of search; at least 1 is needed", o.Steps)
	}
	return nil
}

// Order is how one connected part of the work is built, beside the plain way:
// lowest piece first, never turned.
type Order struct {
	Best, Plain Plan
	Exact       bool // no order of this model costs less; else the search was cut short
}

// Plan is an order with what it costs.
type Plan struct {
	Steps     []Step
	OverheadM float64 // metres of overhead weld
	Turns     int     // with the one that stands the work up at the end
	Props     int     // steps that need one
	Holds     int     // steps whose piece hangs on too little weld; each costs as a prop
	Lifts     int     // crane moves of pieces
	Hours     float64 // of these five, by the options
	Closing   int     // the part that closes the last loop; of a tree the last
	LastProps []Prop  // of the turn that stands it up
}

// Step sets one part. Centre and marks are in SITE, whatever the pose.
type Step struct {
	Part     int
	Up       r3.Vec // direction of SITE that points up in this pose
	Turned   bool   // what stood was turned first
	AddedKG  float64
	MassKG   float64    // of all that stands
	CentreMM r3.Vec     // of gravity, SITE
	HeightMM float64    // from the floor to the highest point, in this pose
	MarginMM float64    // level distance of that centre to the base shrunk by the share; negative: outside, where there is no base too
	Lift     bool       // by crane
	Closes   bool       // joined to more than one part that stands
	Joints   []int      // that are welded
	SeamMM   [4]float64 // their lengths by position
	Use      float64    // share of 0.30 FEXX that the new piece uses of its seams by its weight; 0 where not known, 1000 where they carry nothing
	Hold     bool       // it needs a prop or the hook until it is joined to more
	Props    []Prop
}

// Prop is a raking prop or stay that holds a step while its centre of gravity is
// not well inside the base.
type Prop struct {
	Part    int     // it bears on
	AtMM    r3.Vec  // SITE
	HighMM  float64 // over the floor, in the pose
	Way     r3.Vec  // level, SITE: where the work would fall, where the prop stands
	ForceN  float64 // level, that brings the weight back inside the margin; least, without wind or touch
	Turning bool    // while what stood before is turned, without the new part
}

// PartsMost is the largest number of parts of a build order.
const PartsMost = 512

// BuildOrder finds for each connected part of the work that stands on the ground
// the order that costs least, and the parts that nothing joins to the ground.
// Joints are those of Joints. Ties go to the lower part number, which is bottom
// up. Errors: options out of range, lists of other lengths, too many parts, ctx.
func BuildOrder(ctx context.Context, parts []stock.Part, bodies []Body, joints []WeldJoint, opt OrderOptions) (orders []Order, left []int, err error) {
	if err := opt.check(); err != nil {
		return nil, nil, err
	}
	if err := checkBodies("build order", parts, bodies); err != nil {
		return nil, nil, err
	}
	if len(parts) > PartsMost {
		return nil, nil, fmt.Errorf("build order: %d parts are too many, the limit is %d; split the work into sections", len(parts), PartsMost)
	}
	for k, j := range joints {
		if j.A < 0 || j.B < 0 || j.A >= len(parts) || j.B >= len(parts) || j.A == j.B {
			return nil, nil, fmt.Errorf("build order: joint %d names parts %d and %d of %d", k+1, j.A, j.B, len(parts))
		}
	}
	b := newBuilder(parts, bodies, joints, opt)
	done := make([]bool, len(parts))
	for i := range parts {
		if !b.ground[i] || done[i] {
			continue
		}
		group := b.joined(i)
		for _, p := range group {
			done[p] = true
		}
		o, err := b.order(ctx, group)
		if err != nil {
			return nil, nil, err
		}
		orders = append(orders, o)
	}
	for i := range parts {
		if !done[i] {
			left = append(left, i)
		}
	}
	return orders, left, nil
}

// order is the best and the plain one of a group.
func (b *builder) order(ctx context.Context, group []int) (Order, error) {
	best, exact, err := b.search(ctx, group)
	if err != nil {
		return Order{}, err
	}
	plain := b.plan(b.plain(group))
	out := Order{Best: b.plan(best), Plain: plain, Exact: exact}
	if plain.Hours <= out.Best.Hours+tieH { // a search that was cut short may miss it; of equals the plain one
		out.Best = plain
	}
	return out, nil
}
