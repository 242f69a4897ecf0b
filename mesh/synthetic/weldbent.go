package synthetic

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// coilDepth finds the nearest place on the centreline by Newton steps from the
// turns on either side.
func coilDepth(c Coil, edgeMM float64) depth {
	r, rise, turn := c.CentrelineDiameterMM/2, c.PitchMM/(2*math.Pi), 2*math.Pi*c.Turns
	at := func(t float64) r3.Vec {
		s, k := math.Sincos(t)
		return r3.Vec{X: r * k, Y: r * s, Z: rise * (t - turn/2)}
	}
	section := func(q, beyond float64) float64 {
		d := q - c.SectionDiameterMM/2
		if c.SectionBoreMM > 0 {
			d = max(d, c.SectionBoreMM/2-q)
		}
		return rounder(d, beyond, edgeMM)
	}
	return func(p r3.Vec) float64 {
		if c.LeftHand {
			p.Y = -p.Y
		}
		rho, phi := math.Hypot(p.X, p.Y), math.Atan2(p.Y, p.X)
		first := math.Round((p.Z/rise + turn/2 - phi) / (2 * math.Pi))
		best := math.Inf(1)
		for k := -1.0; k <= 1; k++ {
			t := phi + 2*math.Pi*(first+k)
			for range 8 {
				slope := r*rho*math.Sin(t-phi) - rise*(p.Z-rise*(t-turn/2))
				t -= slope / max(r*rho*math.Cos(t-phi)+rise*rise, 0.2*r*r)
			}
			if t > 0 && t < turn {
				best = min(best, section(r3.Norm(r3.Sub(p, at(t))), -min(t, turn-t)*math.Hypot(r, rise)))
				continue
			}
			end := min(max(t, 0), turn)
			s, k := math.Sincos(end)
			along := r3.Unit(r3.Vec{X: -r * s, Y: r * k, Z: rise})
			if end == 0 {
				along = r3.Scale(-1, along)
			}
			q := r3.Sub(p, at(end))
			beyond := r3.Dot(q, along)
			if beyond < -1e-6 { // a turn that is not there
				continue
			}
			best = min(best, section(math.Sqrt(max(r3.Norm2(q)-beyond*beyond, 0)), beyond))
		}
		return best
	}
}

// bentDepth is the nearest of the legs, each round at its ends within the piece.
func bentDepth(b Bent, edgeMM float64) depth {
	var legs []depth // distance from the centreline
	o, x, y, t := r3.Vec{}, r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	turn := 0.0
	first := t
	for _, l := range b.Legs {
		turn += rad(l.TurnDeg)
		if l.LengthMM != 0 {
			from, way, length := o, t, l.LengthMM
			legs = append(legs, func(p r3.Vec) float64 {
				q := r3.Sub(p, from)
				s := min(max(r3.Dot(q, way), 0), length)
				return r3.Norm(r3.Sub(q, r3.Scale(s, way)))
			})
			o = r3.Add(o, r3.Scale(length, t))
			continue
		}
		in := r3.Add(r3.Scale(cosine(turn), x), r3.Scale(sine(turn), y))
		axis, centre, out, ahead := r3.Cross(t, in), r3.Add(o, r3.Scale(l.RadiusMM, in)), r3.Scale(-1, in), t
		angle, radius := rad(l.AngleDeg), l.RadiusMM
		legs = append(legs, func(p r3.Vec) float64 {
			q := r3.Sub(p, centre)
			a := math.Atan2(r3.Dot(q, ahead), r3.Dot(q, out)) - angle/2
			a -= 2 * math.Pi * math.Round(a/(2*math.Pi))
			s, c := math.Sincos(min(max(a, -angle/2), angle/2) + angle/2)
			return r3.Norm(r3.Sub(q, r3.Add(r3.Scale(radius*c, out), r3.Scale(radius*s, ahead))))
		})
		r := r3.NewRotation(angle, axis)
		o = r3.Add(centre, r.Rotate(r3.Sub(o, centre)))
		x, y, t = r.Rotate(x), r.Rotate(y), r.Rotate(t)
	}
	last, way := o, t
	return func(p r3.Vec) float64 {
		least, which := math.Inf(1), 0
		for i, leg := range legs {
			if d := leg(p); d < least {
				least, which = d, i
			}
		}
		beyond := math.Inf(-1)
		q := least
		if s := -r3.Dot(p, first); which == 0 && s > beyond {
			beyond = s
			if s > 0 {
				q = math.Sqrt(max(r3.Norm2(p)-s*s, 0))
			}
		}
		if w := r3.Sub(p, last); which == len(legs)-1 {
			if s := r3.Dot(w, way); s > beyond {
				beyond = s
				if s > 0 {
					q = math.Sqrt(max(r3.Norm2(w)-s*s, 0))
				}
			}
		}
		d := q - b.SectionDiameterMM/2
		if b.SectionBoreMM > 0 {
			d = max(d, b.SectionBoreMM/2-q)
		}
		return rounder(d, beyond, edgeMM)
	}
}
