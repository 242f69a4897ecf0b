package drawings

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
)

// dims are sizes under their keys.
func dims(list ...any) []stock.Dim {
	var out []stock.Dim
	for i := 0; i < len(list); i += 2 {
		out = append(out, stock.Dim{Key: list[i].(string), Value: list[i+1].(float64)})
	}
	return out
}

// in puts a shape into a frame that stands askew in SITE.
func in(part stock.Part, own solid.Frame, s solid.Shape) Piece {
	f := solid.NewFrame(r3.Vec{X: 1200, Y: -300, Z: 900}, r3.Vec{X: 0.3, Y: 0.5, Z: 0.8}, r3.Vec{X: 1, Z: -0.2})
	part.Frame = stock.Frame{OriginMM: f.Origin, Axis: f.Z, Ref: f.X}
	place := solid.Frame{Origin: f.Point(own.Origin.X, own.Origin.Y, own.Origin.Z), X: f.Dir(own.X.X, own.X.Y, own.X.Z), Z: f.Dir(own.Z.X, own.Z.Y, own.Z.Z)}
	m, err := s.Mesh(1)
	if err != nil {
		panic(part.ID + ": " + err.Error())
	}
	inf := math.Inf(1)
	lo, hi := r3.Vec{X: inf, Y: inf, Z: inf}, r3.Vec{X: -inf, Y: -inf, Z: -inf}
	for _, q := range m.Points {
		q = place.Point(q.X, q.Y, q.Z)
		lo = r3.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y), Z: min(lo.Z, q.Z)}
		hi = r3.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y), Z: max(hi.Z, q.Z)}
	}
	part.BoxMM = [2]r3.Vec{lo, hi}
	return Piece{Part: part, Frame: place, Shape: s}
}

// steps are the corners of an outline of lines.
func steps(o solid.Outline) []stock.Step {
	var out []stock.Step
	for _, s := range o {
		out = append(out, stock.Step{To: s.To, Via: s.Via, Arc: s.Arc})
	}
	return out
}

// samples are a piece of every kind, some of them twice.
func samples() []Piece {
	w := solid.World()
	at := func(p [2]float64, r float64) (stock.Hole, solid.Outline) {
		return stock.Hole{Shape: "round", CentreMM: p, DiameterMM: 2 * r}, solid.Round(p[0], p[1], r)
	}
	var out []Piece
	add := func(id, kind string, own solid.Frame, s solid.Shape, d []stock.Dim, more func(*stock.Part)) {
		p := stock.Part{ID: id, Kind: kind, Dims: d}
		if more != nil {
			more(&p)
		}
		out = append(out, in(p, own, s))
	}
	add("tube", "tube", w, solid.Tube(177.8, 165.2, solid.Cut{Z: -2500}, solid.Cut{Z: 2500}),
		dims("outside_diameter_mm", 177.8, "inside_diameter_mm", 165.2, "wall_mm", 6.3, "length_mm", 5000.0), func(p *stock.Part) { p.Name = "mast" })
	lean := math.Tan(30 * math.Pi / 180)
	add("mitred", "tube", w, solid.Tube(88.9, 78.9, solid.Cut{Z: -150}, solid.Cut{Z: 150, U: lean}),
		dims("outside_diameter_mm", 88.9, "inside_diameter_mm", 78.9, "wall_mm", 5.0, "length_mm", 300.0), func(p *stock.Part) {
			p.Ends = []stock.End{{Kind: "square"}, {Kind: "mitre", AngleDeg: 30}}
		})
	add("bar", "bar", w, solid.Tube(30, 0, solid.Cut{Z: -60}, solid.Cut{Z: 60}), dims("outside_diameter_mm", 30.0, "length_mm", 120.0), nil)
	angle := solid.Polygon([2]float64{0, 0}, [2]float64{80, 0}, [2]float64{80, 8}, [2]float64{8, 8}, [2]float64{8, 80}, [2]float64{0, 80})
	add("angle", "profile", w, solid.Prism{Outer: angle, Low: solid.Cut{Z: -700}, High: solid.Cut{Z: 700}}, dims("length_mm", 1400.0), func(p *stock.Part) { p.Outline = steps(angle) })
	add("disc", "disc", w, solid.Slab(60, solid.Round(0, 0, 300)), dims("outside_diameter_mm", 600.0, "thickness_mm", 60.0), nil)
	var holes []stock.Hole
	var openings []solid.Outline
	for k := range 6 {
		sin, cos := math.Sincos(float64(k) * math.Pi / 3)
		h, o := at([2]float64{160 * cos, 160 * sin}, 11)
		holes, openings = append(holes, h), append(openings, o)
	}
	add("flange", "ring", w, solid.Slab(25, solid.Round(0, 0, 200), append([]solid.Outline{solid.Round(0, 0, 110)}, openings...)...),
		dims("outside_diameter_mm", 400.0, "inside_diameter_mm", 220.0, "thickness_mm", 25.0), func(p *stock.Part) { p.Section, p.Holes = "flat", holes })
	add("hoop", "ring", w, solid.RoundRing{CentrelineMM: 1200, SectionMM: 48.3}, dims("centreline_diameter_mm", 1200.0, "section_diameter_mm", 48.3), func(p *stock.Part) { p.Section = "round" })
	wheel := solid.Wheel{Teeth: 28, TipMM: 722, RootMM: 633, WidthMM: 40}
	add("wheel", "toothed_wheel", w, solid.Slab(60, wheel.Outline(), solid.Round(0, 0, 100)),
		dims("tooth_count", 28.0, "tip_diameter_mm", 722.0, "root_diameter_mm", 633.0, "bore_diameter_mm", 200.0, "thickness_mm", 60.0), nil)
	outline := solid.Outline{{To: [2]float64{-700, -550}}, {To: [2]float64{700, -550}}, {To: [2]float64{750, -500}, Via: [2]float64{700 + 50*math.Sqrt2/2, -500 - 50*math.Sqrt2/2}, Arc: true},
		{To: [2]float64{750, 550}}, {To: [2]float64{-750, 550}}, {To: [2]float64{-750, -500}}}
	holes, openings = nil, nil
	for _, q := range [][2]float64{{-600, -400}, {600, -400}, {600, 400}, {-600, 400}} {
		h, o := at(q, 15)
		holes, openings = append(holes, h), append(openings, o)
	}
	add("base", "plate", w, solid.Slab(80, outline, openings...), dims("length_mm", 1500.0, "width_mm", 1100.0, "thickness_mm", 80.0), func(p *stock.Part) {
		p.Outline, p.Holes = steps(outline), holes
	})
	strip := solid.Polygon([2]float64{-900, -40}, [2]float64{900, -40}, [2]float64{900, 40}, [2]float64{-900, 40})
	slot := solid.Outline{{To: [2]float64{-30, -12}}, {To: [2]float64{-30, 12}, Via: [2]float64{-42, 0}, Arc: true}, {To: [2]float64{30, 12}}, {To: [2]float64{30, -12}, Via: [2]float64{42, 0}, Arc: true}}
	add("strip", "plate", w, solid.Slab(10, strip, slot), dims("length_mm", 1800.0, "width_mm", 80.0, "thickness_mm", 10.0), func(p *stock.Part) {
		p.Outline, p.Holes = steps(strip), []stock.Hole{{Shape: "slot", AcrossMM: [2]float64{84, 24}}}
	})
	add("ball", "sphere", w, solid.Ball{DiameterMM: 240}, dims("diameter_mm", 240.0), nil)
	add("cone", "cone", solid.Frame{Origin: r3.Vec{Z: -130}, X: r3.Vec{X: 1}, Z: r3.Vec{Z: 1}}, solid.Frustum(240, 80, 260, 0), dims("large_diameter_mm", 240.0, "small_diameter_mm", 80.0, "height_mm", 260.0), nil)
	bend := solid.Bend{SectionMM: 60.3, Legs: []solid.Leg{{RadiusMM: 600, SweepRad: math.Pi / 2}}}
	add("davit", "arc", solid.Frame{Origin: r3.Vec{X: 600}, X: r3.Vec{X: -1}, Z: r3.Vec{Y: 1}}, bend, dims("centreline_diameter_mm", 1200.0, "section_diameter_mm", 60.3, "sweep_deg", 90.0), nil)
	add("band", "arc", w, solid.Sector(1960, 1760, 40, 70*math.Pi/180), dims("outside_diameter_mm", 1960.0, "inside_diameter_mm", 1760.0, "thickness_mm", 40.0, "sweep_deg", 70.0), nil)
	s := solid.Bend{SectionMM: 42.4, Legs: []solid.Leg{{LengthMM: 400}, {RadiusMM: 150, SweepRad: 1.2}, {LengthMM: 300}, {RadiusMM: 200, SweepRad: 0.9, TurnRad: 0.7}, {LengthMM: 500}}}
	add("handrail", "arc", w, s, dims("centreline_diameter_mm", 400.0, "section_diameter_mm", 42.4, "sweep_deg", 51.57), func(p *stock.Part) {
		for _, l := range s.Legs {
			if l.RadiusMM == 0 {
				p.Segments = append(p.Segments, stock.Segment{Kind: "straight", Dims: dims("length_mm", l.LengthMM)})
				continue
			}
			p.Segments = append(p.Segments, stock.Segment{Kind: "arc", Dims: dims("centreline_diameter_mm", 2*l.RadiusMM, "sweep_deg", l.SweepRad*180/math.Pi, "turn_deg", l.TurnRad*180/math.Pi)})
		}
	})
	add("spring", "coil", w, solid.Coil{CentrelineMM: 160, SectionMM: 30, PitchMM: 60, Turns: 8, StartRad: 0.4}, dims("centreline_diameter_mm", 160.0, "section_diameter_mm", 30.0, "pitch_mm", 60.0, "turns", 8.0),
		func(p *stock.Part) { p.Hand = "right" })
	h, o := at([2]float64{300, 50}, 60)
	add("screen", "rolled_plate", w, solid.RolledSlab{InsideMM: 880, ThicknessMM: 20, Outer: solid.Rectangle(450*150*math.Pi/180, 440), Holes: []solid.Outline{o}},
		dims("inside_diameter_mm", 880.0, "thickness_mm", 20.0, "width_mm", 440.0, "sweep_deg", 150.0), func(p *stock.Part) { p.Holes = []stock.Hole{h} })
	add("lump", "freeform", w, solid.Facets{Surface: octahedron()}, dims("length_mm", 400.0, "width_mm", 300.0, "height_mm", 200.0), nil)
	return out
}

func octahedron() solid.Mesh {
	return solid.Mesh{Points: []r3.Vec{{X: 200}, {X: -200}, {Y: 150}, {Y: -150}, {Z: 100}, {Z: -100}},
		Triangles: [][3]uint32{{0, 2, 4}, {2, 1, 4}, {1, 3, 4}, {3, 0, 4}, {2, 0, 5}, {1, 2, 5}, {3, 1, 5}, {0, 3, 5}}}
}
