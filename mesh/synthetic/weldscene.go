package synthetic

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"
)

// Tries and measures of growing a scene, mm.
const (
	growTries   = 400
	growPressMM = 0.15 // pieces that touch overlap by this
	growClearMM = 1.6  // apart, if they do not touch
	growCutMM   = 0.8  // into each other at least, if they meet by the way
	growInside  = 0.30 // share of a piece's surface that may lie inside its host
	growByWay   = 0.12 // and inside others
)

// RandomWeld grows a welded scene of the given number of pieces, 2 to 18: from a
// base or mast, each piece on one before it. The same seed gives the same scene.
func RandomWeld(seed uint64, pieces int) (Scene, error) {
	if pieces < 2 || pieces > 18 {
		return Scene{}, fmt.Errorf("weld: %d pieces; give 2 to 18", pieces)
	}
	r := stream(seed, -2, 100)
	b := &growing{}
	base, name := Shape(nil), ""
	switch r.IntN(4) {
	case 0:
		base, name = Tube{OutsideDiameterMM: between(r, 14, 26), InsideDiameterMM: 10, LengthMM: between(r, 70, 110)}, "mast"
	case 1:
		base, name = Bar{OutsideDiameterMM: between(r, 7, 14), LengthMM: between(r, 70, 110)}, "mast"
	default:
		base, name = Plate{Outline: Rectangle(between(r, 70, 110), between(r, 50, 80)), ThicknessMM: between(r, 3, 5)}, "base"
	}
	pose := Along(r3.Vec{}, direction(r))
	if err := b.add(Piece{Name: name, Shape: base, Pose: pose}); err != nil {
		return Scene{}, err
	}
	for try := 0; len(b.pieces) < pieces; try++ {
		if try == growTries*pieces {
			return Scene{}, fmt.Errorf("weld: no room for piece %d of %d; take another seed", len(b.pieces)+1, pieces)
		}
		p, host := b.propose(r)
		w, err := newGrown(p)
		if err != nil || !b.stands(w, host) {
			continue
		}
		b.pieces, b.grown = append(b.pieces, p), append(b.grown, w)
	}
	return Scene{Name: fmt.Sprintf("weld %d of %d pieces", seed, pieces), Pieces: b.pieces}, nil
}

type growing struct {
	pieces []Piece
	grown  []grown
}

// grown is a placed piece with points of its surface.
type grown struct {
	weldPiece
	points []r3.Vec
}

func newGrown(p Piece) (grown, error) {
	w, err := placed(p, 0)
	if err != nil {
		return grown{}, err
	}
	s, err := Mesh(p.Shape, 1.8)
	if err != nil {
		return grown{}, err
	}
	g := grown{weldPiece: w}
	for _, q := range s.Points {
		g.points = append(g.points, w.frame.at(q))
	}
	return g, nil
}

func (b *growing) add(p Piece) error {
	w, err := newGrown(p)
	if err == nil {
		b.pieces, b.grown = append(b.pieces, p), append(b.grown, w)
	}
	return err
}

// propose draws a piece and a joint to a host.
func (b *growing) propose(r *rand.Rand) (Piece, int) {
	host := r.IntN(len(b.pieces))
	name, s := foundShape(r)
	h := b.pieces[host]
	if d, l := rod(h.Shape); d > 0 && r.IntN(3) == 0 {
		if s, ok := bored(s, d); ok {
			z := (0.7*r.Float64() - 0.35) * l
			axis := b.grown[host].frame.w
			if r.IntN(3) == 0 { // a little askew
				axis = r3.Unit(r3.Add(axis, r3.Scale(0.15, direction(r))))
			}
			return Piece{Name: name, Shape: s, Pose: Along(b.grown[host].frame.at(r3.Vec{Z: z}), axis)}, host
		}
	}
	on, by := siteOn(r, h.Shape, true), siteOn(r, s, false)
	press := growPressMM
	if d, _ := rod(h.Shape); d > 0 && r3.Dot(on.normal, up) == 0 { // on a curved side
		press += sunk(s, by, d)
	}
	if d, _ := rod(s); d > 0 && by.normal.Z != 0 && r.IntN(4) == 0 { // through its host
		press = between(r, 4, 15)
	}
	return Piece{Name: name, Shape: s, Pose: joined(b.grown[host].frame, on, by, press, r)}, host
}

// rod is the diameter and length of a straight round shape, 0 for others.
func rod(s Shape) (diameterMM, lengthMM float64) {
	switch s := s.(type) {
	case Tube:
		return s.OutsideDiameterMM, s.LengthMM
	case Bar:
		return s.OutsideDiameterMM, s.LengthMM
	}
	return 0, 0
}

// bored gives a shape a bore that a rod fits tightly; a plate and a wheel are
// made larger where they have to be.
func bored(s Shape, rodMM float64) (Shape, bool) {
	bore := rodMM - 0.2
	switch s := s.(type) {
	case Ring:
		s.InsideDiameterMM = bore
		s.OutsideDiameterMM = max(s.OutsideDiameterMM, math.Round(bore+10))
		return s, s.ThicknessMM <= s.OutsideDiameterMM/2
	case ToothedWheel:
		s.BoreDiameterMM = bore
		return s, bore < s.RootDiameterMM-8
	case Disc:
		return Ring{OutsideDiameterMM: max(s.OutsideDiameterMM, math.Round(bore+12)), InsideDiameterMM: bore, ThicknessMM: s.ThicknessMM}, true
	case RoundRing:
		s.CentrelineDiameterMM = bore + s.SectionDiameterMM
		return s, s.CentrelineDiameterMM > 1.6*s.SectionDiameterMM
	case Plate:
		if len(s.Outline) != 4 || len(s.Holes) > 0 {
			return s, false
		}
		for _, o := range s.Outline {
			if math.Abs(o.To[1]) < bore/2+4 {
				return s, false
			}
		}
		s.Holes = []Hole{RoundHole(0, 0, bore)}
		return s, true
	}
	return s, false
}

// sunk is how far an end goes into a round side so that all of it touches, as a
// cut to fit would.
func sunk(s Shape, by site, hostMM float64) float64 {
	half := 0.0
	switch s := s.(type) {
	case Tube:
		half = s.OutsideDiameterMM / 2
	case Bar:
		half = s.OutsideDiameterMM / 2
	case Arc:
		half = s.SectionDiameterMM / 2
	case Bent:
		half = s.SectionDiameterMM / 2
	}
	if half == 0 || by.normal.Z == 0 && by.normal.X != 0 {
		return 0
	}
	half = min(half, hostMM/2)
	return min(hostMM/2-math.Sqrt(hostMM*hostMM/4-half*half), 4)
}

// joined places a shape with its site on that of its host: normals opposite,
// directions along each other, across or at any angle.
func joined(host frame, on, by site, pressMM float64, r *rand.Rand) Pose {
	n := host.turn(on.normal)
	along := host.turn(on.along)
	turn := [...]float64{0, math.Pi / 2, 2 * math.Pi * r.Float64()}[r.IntN(3)]
	if r.IntN(6) == 0 { // leaning
		n = r3.Unit(r3.Add(n, r3.Scale(0.4, direction(r))))
		along = r3.Unit(r3.Sub(along, r3.Scale(r3.Dot(along, n), n)))
	}
	along = r3.NewRotation(turn, n).Rotate(along)
	// by.normal → -n, by.along → along
	cross, third := r3.Cross(by.normal, by.along), r3.Cross(r3.Scale(-1, n), along)
	move := func(v r3.Vec) r3.Vec {
		return r3.Add(r3.Scale(-r3.Dot(v, by.normal), n), r3.Add(r3.Scale(r3.Dot(v, by.along), along), r3.Scale(r3.Dot(v, cross), third)))
	}
	at := r3.Sub(host.at(on.at), r3.Scale(pressMM, n))
	return Pose{OriginMM: r3.Sub(at, move(by.at)), Axis: move(up), Ref: move(r3.Vec{X: 1})}
}

// stands tells whether a piece touches its host and keeps clear of the others or
// meets them squarely.
func (b *growing) stands(w grown, host int) bool {
	for i := range b.grown {
		o := &b.grown[i]
		if r3.Norm(r3.Sub(w.centre, o.centre)) > w.reach+o.reach+growClearMM {
			if i == host {
				return false
			}
			continue
		}
		least, mine := inside(w.points, o.weldPiece)
		other, theirs := inside(o.points, w.weldPiece)
		least = min(least, other)
		if i == host {
			if least > 0 || max(mine, theirs) > growInside {
				return false
			}
			continue
		}
		if least < growClearMM && least > -growCutMM || max(mine, theirs) > growByWay {
			return false
		}
	}
	return true
}

// inside is the least distance of points from a piece, and the share of them in
// it.
func inside(points []r3.Vec, w weldPiece) (least, share float64) {
	least = math.Inf(1)
	n := 0
	for _, p := range points {
		if r3.Norm(r3.Sub(p, w.centre)) > w.reach+growClearMM {
			continue
		}
		d := w.distance(p)
		least = min(least, d)
		if d < -0.3 {
			n++
		}
	}
	return least, float64(n) / float64(len(points))
}
