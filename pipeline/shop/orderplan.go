package shop

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// plan plays moves and says what each step is and what all cost.
func (b *builder) plan(moves []move) Plan {
	var group []int
	for _, m := range moves {
		group = append(group, m.part)
	}
	out := Plan{Closing: -1}
	var s set
	pose := moves[0].pose
	for _, m := range moves {
		step := b.step(s, group, m)
		if step.Turned = m.pose != pose; step.Turned {
			step.Props = append(b.turning(s, group, m.pose), step.Props...)
		}
		out.add(step, b.price(s, m), b.opt)
		s, pose = s.with(m.part), m.pose
	}
	out.standUp(b, s, group, pose)
	return out
}

// turning are the props of what stands when it is turned to a pose.
func (b *builder) turning(s set, group []int, pose int) []Prop {
	props := b.propsFor(s, group, pose)
	for i := range props {
		props[i].Turning = true
	}
	return props
}

// standUp adds the last turn, if the work does not stand as on site.
func (p *Plan) standUp(b *builder, s set, group []int, pose int) {
	if pose != 0 {
		p.Turns++
		p.Hours += b.opt.TurnH
		if p.LastProps = b.turning(s, group, 0); len(p.LastProps) > 0 {
			p.Props++
			p.Hours += b.opt.PropH
		}
	}
	if p.Closing < 0 {
		p.Closing = p.Steps[len(p.Steps)-1].Part
	}
}

// add counts a step.
func (p *Plan) add(s Step, price float64, opt OrderOptions) {
	p.Steps = append(p.Steps, s)
	p.Hours += price
	p.OverheadM += s.SeamMM[WeldOverhead] / 1000
	if s.Turned {
		p.Turns++
		p.Hours += opt.TurnH
	}
	if s.Hold {
		p.Holds++ // its hours are in the price
	}
	if s.Lift {
		p.Lifts++
	}
	if s.Closes {
		p.Closing = s.Part
	}
	turning, standing := 0, 0
	for _, x := range s.Props {
		if x.Turning {
			turning = 1
		} else {
			standing = 1
		}
	}
	p.Props += turning + standing
	p.Hours += float64(turning+standing) * opt.PropH
}

// step is what stands after a move.
func (b *builder) step(s set, group []int, m move) Step {
	joints := b.meets(s, m.part)
	with := s.with(m.part)
	r := b.rest(with, group, m.pose)
	up := b.poses[m.pose].up
	out := Step{Part: m.part, Up: up, AddedKG: b.bodies[m.part].MassKG, MassKG: r.massKG, CentreMM: r.centre, MarginMM: r.margin,
		Lift: b.bodies[m.part].MassKG > b.opt.HandKG, Joints: joints, Props: b.propsFor(with, group, m.pose)}
	out.Use = b.use(s, m)
	out.Hold = out.Use > b.opt.UseMost
	near := map[int]bool{}
	for _, k := range joints {
		near[b.joints[k].A+b.joints[k].B-m.part] = true
		for i, mm := range positionsOf(b.joints[k], up) {
			out.SeamMM[i] += mm
		}
	}
	out.Closes = len(near) > 1
	high := math.Inf(-1)
	for _, i := range group {
		if with.has(i) {
			for _, q := range b.bodies[i].points() {
				high = max(high, r3.Dot(q, up))
			}
		}
	}
	out.HeightMM = high - r.low
	return out
}
