package pipeline

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
)

// placed is a shape in a frame of SITE.
type placed struct {
	frame solid.Frame
	shape solid.Shape
}

// solidsOf are the shapes that a part may be in its place: one, or several where
// its numbers leave open which way round it lies. None where its sizes are not
// all known or nothing of the kind is made.
func solidsOf(p stock.Part) []placed {
	f := solid.NewFrame(p.Frame.OriginMM, p.Frame.Axis, p.Frame.Ref)
	size := func(key string) float64 {
		x, _ := p.Size(key)
		return x
	}
	one := func(s solid.Shape) []placed { return []placed{{f, s}} }
	t := size("thickness_mm")
	switch p.Kind {
	case "tube", "bar":
		low, high, ok := cutsOf(p, f)
		if !ok {
			return nil
		}
		return one(solid.Tube(size("outside_diameter_mm"), size("inside_diameter_mm"), low, high))
	case "disc":
		return one(solid.Slab(t, solid.Round(0, 0, size("outside_diameter_mm")/2), holesOf(p)...))
	case "ring":
		if p.Section == "round" {
			return one(solid.RoundRing{CentrelineMM: size("centreline_diameter_mm"), SectionMM: size("section_diameter_mm"), BoreMM: size("section_bore_mm")})
		}
		return one(solid.Slab(t, solid.Round(0, 0, size("outside_diameter_mm")/2), bored(size("inside_diameter_mm"), holesOf(p))...))
	case "toothed_wheel":
		rim := solid.Wheel{Teeth: int(size("tooth_count")), TipMM: size("tip_diameter_mm"), RootMM: size("root_diameter_mm"),
			WidthMM: size("tooth_width_mm"), SeatMM: size("seat_diameter_mm"), SeatPitchMM: size("seat_pitch_mm")}
		return one(solid.Slab(t, rim.Outline(), bored(size("bore_diameter_mm"), holesOf(p))...))
	case "plate":
		flat := solid.Slab(t, outlineOf(p.Outline), holesOf(p)...)
		l, w := size("length_mm")/2, size("width_mm")/2
		box := solid.Slab(t, solid.Polygon([2]float64{-l, -w}, [2]float64{l, -w}, [2]float64{l, w}, [2]float64{-l, w}), holesOf(p)...)
		return []placed{{f, flat}, {f, box}} // a flat bar that stands on end has the outline of its end
	case "profile":
		low, high, ok := cutsOf(p, f)
		if !ok {
			return nil
		}
		return one(solid.Prism{Outer: outlineOf(p.Outline), Holes: holesOf(p), Low: low, High: high})
	case "sphere":
		return one(solid.Ball{DiameterMM: size("diameter_mm"), InsideMM: hollow(size("diameter_mm"), size("wall_mm"))})
	case "cone":
		return conesOf(f, size("large_diameter_mm"), size("small_diameter_mm"), size("height_mm"), size("wall_mm"))
	case "arc":
		return arcsOf(p, f, size)
	case "coil":
		return coilsOf(p, f, size)
	case "rolled_plate":
		if size("inside_diameter_mm") == 0 {
			return nil
		}
		return one(solid.RolledSlab{InsideMM: size("inside_diameter_mm"), ThicknessMM: t, Holes: holesOf(p),
			Outer: solid.Rectangle((size("inside_diameter_mm")+t)/2*size("sweep_deg")*math.Pi/180, size("width_mm"))})
	}
	return nil
}

func hollow(outside, wall float64) float64 {
	if wall <= 0 {
		return 0
	}
	return outside - 2*wall
}

// cutsOf are the planes of a straight part's ends, low one first; an end that was
// not seen is square, half the length from the middle.
func cutsOf(p stock.Part, f solid.Frame) (low, high solid.Cut, ok bool) {
	l, known := p.Size("length_mm")
	cuts := [2]solid.Cut{{Z: -l / 2}, {Z: l / 2}}
	seen := [2]bool{known, known}
	for _, e := range p.Ends {
		if e.Out == (r3.Vec{}) {
			continue
		}
		side := 0
		if r3.Dot(e.Out, f.Z) > 0 {
			side = 1
		}
		out := f.LocalDir(e.Out)
		if e.Kind == "square" { // what counts as such is cut so
			out = r3.Vec{Z: out.Z}
		}
		if c, fine := solid.CutAt(f.Local(e.AtMM), out); fine {
			cuts[side], seen[side] = c, true
		}
	}
	return cuts[0], cuts[1], seen[0] && seen[1]
}

// conesOf are a frustum with its large end down and one with it up.
func conesOf(f solid.Frame, large, small, height, wall float64) []placed {
	s := solid.Frustum(large, small, height, wall)
	up := f
	up.Origin = f.Point(0, 0, -height/2)
	down := solid.NewFrame(f.Point(0, 0, height/2), r3.Scale(-1, f.Z), f.X)
	return []placed{{up, s}, {down, s}}
}

// arcsOf are an arc, or a compound bend either way along.
func arcsOf(p stock.Part, f solid.Frame, size func(string) float64) []placed {
	const rad = math.Pi / 180
	if outside := size("outside_diameter_mm"); outside > 0 {
		return []placed{{f, solid.Sector(outside, size("inside_diameter_mm"), size("thickness_mm"), size("sweep_deg")*rad)}}
	}
	bend := solid.Bend{SectionMM: size("section_diameter_mm"), BoreMM: size("section_bore_mm")}
	r := size("centreline_diameter_mm") / 2
	if len(p.Segments) == 0 {
		bend.Legs = []solid.Leg{{RadiusMM: r, SweepRad: size("sweep_deg") * rad}}
		return []placed{withEnds(p, solid.NewFrame(f.Point(r, 0, 0), f.Y(), r3.Scale(-1, f.X)), bend)}
	}
	longest, most := -1, 0.0
	for i, s := range p.Segments {
		x := stock.Part{Dims: s.Dims}
		length, _ := x.Size("length_mm")
		d, _ := x.Size("centreline_diameter_mm")
		sweep, _ := x.Size("sweep_deg")
		turn, _ := x.Size("turn_deg")
		bend.Legs = append(bend.Legs, solid.Leg{LengthMM: length, RadiusMM: d / 2, SweepRad: sweep * rad, TurnRad: turn * rad})
		if s.Kind == "arc" && d*sweep > most {
			longest, most = i, d*sweep
		}
	}
	if longest < 0 {
		return nil
	}
	own := arcFrame(bend.Legs, longest)
	sin, cos := math.Sincos(bend.Legs[longest].SweepRad)
	var out []placed
	for _, there := range []solid.Frame{
		f, // run through counter-clockwise about the axis, or the other way
		solid.NewFrame(f.Origin, r3.Scale(-1, f.Z), f.Dir(cos, sin, 0)),
	} {
		local := func(d r3.Vec) r3.Vec {
			q := own.LocalDir(d)
			return there.Dir(q.X, q.Y, q.Z)
		}
		start := own.Local(r3.Vec{})
		out = append(out, withEnds(p, solid.NewFrame(there.Point(start.X, start.Y, start.Z), local(r3.Vec{Z: 1}), local(r3.Vec{X: 1})), bend))
	}
	return out
}

// withEnds gives a bend the end planes of its part, each to the end that lies
// nearer; a plane that would cut into an arc is left out.
func withEnds(p stock.Part, f solid.Frame, b solid.Bend) placed {
	start, final := b.Ends()
	square := b
	for _, e := range p.Ends {
		if e.Out == (r3.Vec{}) || e.Kind == "square" {
			continue
		}
		at, out := f.Local(e.AtMM), f.LocalDir(e.Out)
		if r3.Norm(r3.Sub(at, start)) <= r3.Norm(r3.Sub(at, final)) {
			b.StartOut = out
		} else {
			b.FinalOut = out
		}
	}
	if _, err := b.Body(); err != nil {
		b = square
	}
	return placed{f, b}
}

// arcFrame is that of leg n's arc in the bend's own coordinates: origin at its
// centre, x to where it starts, about its axis the way it runs.
func arcFrame(legs []solid.Leg, n int) solid.Frame {
	at := solid.World() // z along the piece, x towards the centre of the arc to come
	for i, l := range legs {
		if l.RadiusMM == 0 {
			at.Origin = at.Point(0, 0, l.LengthMM)
			continue
		}
		sin, cos := math.Sincos(l.TurnRad)
		at = solid.NewFrame(at.Origin, at.Z, at.Dir(cos, sin, 0))
		if i == n {
			break
		}
		sin, cos = math.Sincos(l.SweepRad)
		end := at.Point(l.RadiusMM*(1-cos), 0, l.RadiusMM*sin)
		at = solid.NewFrame(end, at.Dir(sin, 0, cos), at.Dir(cos, 0, -sin))
	}
	centre := at.Point(legs[n].RadiusMM, 0, 0)
	return solid.NewFrame(centre, at.Y(), r3.Scale(-1, at.X))
}

// coilsOf is a coil from where its low end cuts the centreline.
func coilsOf(p stock.Part, f solid.Frame, size func(string) float64) []placed {
	c := solid.Coil{CentrelineMM: size("centreline_diameter_mm"), SectionMM: size("section_diameter_mm"), BoreMM: size("section_bore_mm"),
		PitchMM: size("pitch_mm"), Turns: size("turns"), Left: p.Hand == "left"}
	for _, e := range p.Ends {
		if at := f.Local(e.AtMM); e.Out != (r3.Vec{}) && at.Z < 0 {
			c.StartRad = math.Atan2(at.Y, at.X)
			return []placed{{f, c}}
		}
	}
	return nil
}

func outlineOf(steps []stock.Step) solid.Outline {
	var out solid.Outline
	for _, s := range steps {
		out = append(out, solid.Step{To: s.To, Via: s.Via, Arc: s.Arc})
	}
	return out
}

// bored adds a bore about the axis to holes.
func bored(diameterMM float64, holes []solid.Outline) []solid.Outline {
	if diameterMM > 0 {
		holes = append(holes, solid.Round(0, 0, diameterMM/2))
	}
	return holes
}

// holesOf are the outlines of a part's holes.
func holesOf(p stock.Part) []solid.Outline {
	var out []solid.Outline
	for _, h := range p.Holes {
		a, b := h.AcrossMM[0]/2, h.AcrossMM[1]/2
		var o solid.Outline
		switch h.Shape {
		case "round":
			out = append(out, solid.Round(h.CentreMM[0], h.CentreMM[1], h.DiameterMM/2))
			continue
		case "diamond":
			o = solid.Polygon([2]float64{a, 0}, [2]float64{0, b}, [2]float64{-a, 0}, [2]float64{0, -b})
		case "rectangle":
			o = solid.Polygon([2]float64{-a, -b}, [2]float64{a, -b}, [2]float64{a, b}, [2]float64{-a, b})
		case "slot":
			o = solid.Outline{{To: [2]float64{a - b, -b}}, {To: [2]float64{a - b, b}, Via: [2]float64{a, 0}, Arc: true},
				{To: [2]float64{b - a, b}}, {To: [2]float64{b - a, -b}, Via: [2]float64{-a, 0}, Arc: true}}
		default:
			if o = outlineOf(h.Outline); len(o) > 2 {
				out = append(out, o)
			}
			continue
		}
		sin, cos := math.Sincos(h.AngleDeg * math.Pi / 180)
		turn := func(q [2]float64) [2]float64 {
			return [2]float64{h.CentreMM[0] + q[0]*cos - q[1]*sin, h.CentreMM[1] + q[0]*sin + q[1]*cos}
		}
		for i := range o {
			o[i].To, o[i].Via = turn(o[i].To), turn(o[i].Via)
		}
		out = append(out, o)
	}
	return out
}
