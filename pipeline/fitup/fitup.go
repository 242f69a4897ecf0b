// Package fitup lays an assembly out again after its pieces got stock sizes: a
// tube that became 2 % thicker digs into the plate on which it stood.
//
// Every part may move as a rigid body, and long parts may be cut anew at ends
// that meet another. Wanted are the motions that
//
//  1. keep relations exactly (parallel, coaxial, equally spaced …),
//  2. close contacts: along the seam of the scan the surfaces of the sized parts
//     touch again, in the sense of least squares where not all of them can,
//  3. move least: Σ area × (shift² + (turn × half-length)²), so that what is seen
//     most moves least. A cut costs next to nothing: an end that butts is trimmed
//     before anything moves, and a free end keeps its scanned place.
//
// The first is an equality constraint; the second is weighted against the third so
// that a gap closes where that takes up to some fifty times its size in motion, and
// what such a weight leaves open is taken by doing it again from there (settleAll).
// Each Gauss-Newton step solves the normal equations by Cholesky's method and the
// constraints through their Schur complement (Nocedal and Wright, Numerical
// Optimization, 2006, section 16.2). Dense: n unknowns take n³/3 operations a step,
// 6 a part and up to 3 a cut; 30 parts with 66 contacts take 1.3 s of processor
// time, PartsMost is the limit.
//
// Before anything, ends that weld hides go on to what they meet (reach.go), and metal
// that stock leaves hollow still counts as metal (solidAs).
//
// How contacts are read from the scan stands in touch.go, their gaps and derivatives
// in gap.go, relations in relation.go, what cannot close in conflict.go. The datum
// (see Options) and parts that exist already do not move; what stood on the ground
// stands on it. Edges of plates are not trimmed: plates move.
package fitup

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// PartsMost is the largest number of parts that Solve takes.
const PartsMost = 300

// Options set what counts as touching. DefaultOptions fills all of them.
type Options struct {
	// TouchMM is how far, at full size, the scan's surfaces may lie apart or in
	// each other where the pieces touched: its noise and form errors. What lay
	// deeper crosses, what lay further apart stays so.
	TouchMM float64
	// CloseMM is the gap or overlap up to which a contact counts as closed.
	CloseMM float64
	// Datum is the id of the part that does not move; empty: the heaviest on the
	// ground, of none the lowest.
	Datum string
	// Steps bounds the Gauss-Newton steps.
	Steps int
}

// DefaultOptions suit a scan at a tenth of full size: 0.3 mm there, the tolerance
// of contacts at 0.05 mm of noise and edges of 0.7 mm.
func DefaultOptions() Options { return Options{TouchMM: 3, CloseMM: 0.05, Steps: 40} }

func (o Options) check() error {
	switch {
	case !(o.TouchMM > 0) || math.IsInf(o.TouchMM, 0):
		return fmt.Errorf("fit-up: touch %g mm; give a length over 0", o.TouchMM)
	case !(o.CloseMM > 0) || o.CloseMM > o.TouchMM:
		return fmt.Errorf("fit-up: close %g mm; give a length over 0, at most touch (%g mm)", o.CloseMM, o.TouchMM)
	case o.Steps < 1:
		return fmt.Errorf("fit-up: %d steps; give at least 1", o.Steps)
	}
	return nil
}

// Assembly is the piece with its stock sizes, laid out again.
//
// Shapes: Parts and Moves as the input's parts, Joints and Contacts as its contacts.
type Assembly struct {
	Parts     []stock.Part
	Moves     []Move
	Trims     []Trim
	Joints    []Joint
	Contacts  []stock.Contact // with their seams where the sized parts meet, see follow
	Conflicts []Conflict
	Broken    []Break
	Datum     int  // the part that did not move
	Settled   bool // the last step was below a ten-thousandth of a millimetre
}

// Move is how far a part lies from where it was scanned.
type Move struct {
	ShiftMM r3.Vec // of its middle
	TurnDeg r3.Vec // about its middle: direction of the axis times angle
}

// Trim is how an end of a long part was cut anew, or goes on hidden, against the sized
// part: longer for positive ByMM, leaning by LeanDeg.
type Trim struct {
	Part, End     int // End: 0 low, 1 high along the run
	ByMM, LeanDeg float64
}

// Joint is what became of a contact. Way is touch (faces or edges meet), through
// (one is led through the other, the opening is cut to fit) or crossing (they lie
// in each other as they did; one is cut to fit).
//
// GapMM is the gap where they are closest, negative where they lie in each other,
// beyond WantedMM, which is 0 but where the scan shows a gap over Options.TouchMM;
// OpensMM the largest along the seam, where other sizes cannot lie on each other
// all along. BeforeMM is GapMM with the sized parts where the scan had them. Of a
// crossing, GapMM is how far the two came apart, beyond what their ideal shapes are as
// scanned, 0 while they did not. OffMM is how far crossing parts, or a part that passes
// through, moved against each other.
type Joint struct {
	A, B            int
	Way             string
	GapMM, BeforeMM float64
	OpensMM         float64
	WantedMM        float64
	OffMM           float64
}

// Conflict is a set of contacts that cannot all close, with the relations that
// take part and the parts of both: without any one contact the others would close,
// if Minimal says that all were tried. What is missing is shared out: Open are all
// contacts that are left open for it, WorstMM the largest gap or overlap of these.
type Conflict struct {
	Contacts  []int
	Relations []int
	Parts     []int
	Open      []int
	WorstMM   float64
	Minimal   bool
}

// Break is a relation that could not be kept: those before it, or parts that do
// not move, contradict it. ByMM is its largest departure; of directions, over the
// half-length of the part.
type Break struct {
	Relation int
	ByMM     float64
}

// Solve lays the sized parts out so that contacts close again.
//
// scan and sized are the same parts in the same order, as scanned at full size and
// with stock sizes; contacts and relations are those of the scan, in SITE. Nothing
// that is given is changed. Turning, shifting and mirroring all input does so to
// the output, and order does not matter, within the 0.5 mm that a test holds. It
// returns an error where the input is no such assembly or ctx ends; contacts that
// cannot close are no error.
//
// The derivation is ours; see the package's comment.
func Solve(ctx context.Context, scan, sized []stock.Part, contacts []stock.Contact, relations []stock.Relation, opt Options) (Assembly, error) {
	if err := check(scan, sized, contacts, relations, opt); err != nil {
		return Assembly{}, err
	}
	m, err := newModel(scan, sized, contacts, relations, opt)
	if err != nil {
		return Assembly{}, err
	}
	before := m.joints()
	settled, err := m.settleAll(ctx)
	if err != nil {
		return Assembly{}, err
	}
	out := m.assembly(ctx, before)
	out.Settled = settled
	return out, nil
}

func check(scan, sized []stock.Part, contacts []stock.Contact, relations []stock.Relation, opt Options) error {
	if err := opt.check(); err != nil {
		return err
	}
	n := len(scan)
	if n != len(sized) {
		return fmt.Errorf("fit-up: %d parts scanned, %d sized; give the same parts twice", n, len(sized))
	}
	if n > PartsMost {
		return fmt.Errorf("fit-up: %d parts; at most %d can be laid out at once", n, PartsMost)
	}
	for i := range scan {
		if scan[i].ID != sized[i].ID {
			return fmt.Errorf("fit-up: part %d is %s as scanned and %s as sized; give both in one order", i, scan[i].ID, sized[i].ID)
		}
		for _, p := range []stock.Part{scan[i], sized[i]} {
			if !finite(p) {
				return fmt.Errorf("fit-up: part %s has a size or place that is no finite number", p.ID)
			}
		}
	}
	for k, c := range contacts {
		if c.A < 0 || c.B >= n || c.A == c.B || c.B < 0 || c.A >= n {
			return fmt.Errorf("fit-up: contact %d joins parts %d and %d of %d", k, c.A, c.B, n)
		}
		for _, s := range c.Seam {
			if !finiteVec(s.PointMM) || !finiteVec(s.A) || !finiteVec(s.B) {
				return fmt.Errorf("fit-up: contact %d has a seam point that is no finite number", k)
			}
		}
	}
	for k, r := range relations {
		for _, i := range append(append([]int(nil), r.Parts...), r.To...) {
			if i < 0 || i >= n {
				return fmt.Errorf("fit-up: relation %d (%s) names part %d of %d", k, r.Kind, i, n)
			}
		}
	}
	return nil
}

func finite(p stock.Part) bool {
	ok := finiteVec(p.Frame.OriginMM) && finiteVec(p.Frame.Axis) && finiteVec(p.Frame.Ref) && finiteVec(p.BoxMM[0]) && finiteVec(p.BoxMM[1]) &&
		!math.IsNaN(p.AreaMM2) && !math.IsInf(p.AreaMM2, 0)
	for _, d := range p.Dims {
		ok = ok && !math.IsNaN(d.Value) && !math.IsInf(d.Value, 0)
	}
	for _, e := range p.Ends {
		ok = ok && finiteVec(e.AtMM) && finiteVec(e.Out)
	}
	return ok
}

func finiteVec(v r3.Vec) bool { s := v.X + v.Y + v.Z; return !math.IsNaN(s) && !math.IsInf(s, 0) }
