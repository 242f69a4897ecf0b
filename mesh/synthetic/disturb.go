package synthetic

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// disturbed brings a clean shell of piece i to where it stands and disturbs its
// vertices: form, pose, rounding of edges, then waviness and noise along the
// normals.
func disturbed(s Shell, p Piece, f frame, i int, opt Options) Shell {
	p.Form.apply(s.Points)
	for v, q := range s.Points {
		s.Points[v] = f.at(q)
	}
	if opt.RoundingMM > 0 {
		rounded(s, opt.RoundingMM)
	}
	if along := alongNormal(s, i, opt); along != nil {
		for v, n := range s.Normals() {
			s.Points[v] = r3.Add(s.Points[v], r3.Scale(along[v], n))
		}
	}
	if opt.NoiseMM > 0 && opt.Isotropic {
		r := stream(opt.Seed, i, useNoise)
		for v, q := range s.Points {
			s.Points[v] = r3.Add(q, r3.Scale(opt.NoiseMM, normalVec(r)))
		}
	}
	return s
}

// alongNormal returns how far each vertex of piece i is moved along its normal,
// mm; nil for not at all.
func alongNormal(s Shell, i int, opt Options) []float64 {
	white := opt.NoiseMM > 0 && !opt.Isotropic
	if !white && opt.CorrelatedMM == 0 && opt.WavinessMM == 0 {
		return nil
	}
	out := make([]float64, len(s.Points))
	if white {
		r := stream(opt.Seed, i, useNoise)
		for v := range out {
			out[v] = opt.NoiseMM * r.NormFloat64()
		}
	}
	if opt.WavinessMM > 0 {
		w := long(stream(opt.Seed, i, useWaves), opt.WavinessMM, opt.WavelengthMM)
		for v, p := range s.Points {
			out[v] += w.at(p)
		}
	}
	if opt.CorrelatedMM > 0 {
		addSmooth(out, s, stream(opt.Seed, i, useCorrelated).Uint64(), opt)
	}
	return out
}

// addSmooth adds one smooth field, read at a place of its own for each patch,
// so far off that the two sides of a plate know nothing of each other. A vertex
// on an edge goes with the first of its patches.
func addSmooth(out []float64, s Shell, seed uint64, opt Options) {
	w := smooth(stream(seed, 0, useCorrelated), opt.CorrelatedMM, opt.SmoothMM)
	patch := firstPatch(s)
	var shift []r3.Vec
	for v, p := range s.Points {
		for int(patch[v]) >= len(shift) {
			r := stream(seed, len(shift)+1, useCorrelated)
			shift = append(shift, r3.Scale(1e3*opt.SmoothMM, normalVec(r)))
		}
		out[v] += w.at(r3.Add(p, shift[patch[v]]))
	}
}

// firstPatch returns the lowest patch that each vertex lies on.
func firstPatch(s Shell) []int32 {
	out := make([]int32, len(s.Points))
	for v := range out {
		out[v] = math.MaxInt32
	}
	for f, t := range s.Faces {
		for _, v := range t {
			out[v] = min(out[v], s.Patch[f])
		}
	}
	return out
}
