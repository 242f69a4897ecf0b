package synthetic

import (
	"fmt"
	"runtime"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"
)

// Scanned is a scene as a scanner gives it.
//
// Shapes: F facets; Piece is the number in the scene that each belongs to, -1
// for dust; Patch the smooth surface of that piece. Truth has one row a piece.
type Scanned struct {
	Name      string
	Triangles [][3][3]float32 // mm
	Piece     []int32
	Patch     []int32
	Truth     []Truth
}

// Scan meshes a scene and disturbs it as opt asks. Pieces keep their order;
// dust comes last, then facets are shuffled if asked.
func Scan(scene Scene, opt Options) (Scanned, error) {
	ready, err := prepare(scene, opt)
	if err != nil {
		return Scanned{}, err
	}
	out := Scanned{Name: scene.Name}
	for _, p := range ready {
		out.Truth = append(out.Truth, p.truth)
	}
	shells := make([]Shell, len(ready))
	each(len(ready), func(i int) {
		shells[i] = disturbed(ready[i].plan.build(), scene.Pieces[i], ready[i].frame, i, opt)
	})
	spiked(shells, opt)
	each(len(shells), func(i int) { shells[i] = decimated(shells[i], opt.KeepShare) })
	slivered(shells, opt)
	for i, s := range shells {
		out.add(s, int32(i))
	}
	out.damage(opt)
	return out, nil
}

// readied is a piece that has been looked over: nothing after this can fail.
type readied struct {
	plan  plan
	frame frame
	truth Truth
}

func prepare(scene Scene, opt Options) ([]readied, error) {
	if err := opt.check(); err != nil {
		return nil, err
	}
	out := make([]readied, len(scene.Pieces))
	errs := make([]error, len(out))
	each(len(out), func(i int) { out[i], errs[i] = ready(scene.Pieces[i], opt) })
	facets := 0
	for i, err := range errs {
		if err != nil {
			return nil, fmt.Errorf("piece %d, %q: %w", i+1, scene.Pieces[i].Name, err)
		}
		facets += out[i].plan.facets
	}
	if facets > facetsMax {
		return nil, fmt.Errorf("%w: %d in all", tooFine(opt.EdgeMM), facets)
	}
	return out, nil
}

func ready(p Piece, opt Options) (out readied, err error) {
	if err := p.Form.check(); err != nil {
		return out, err
	}
	if out.frame, err = p.Pose.frame(); err != nil {
		return out, err
	}
	if out.plan, err = planOf(p.Shape, opt.EdgeMM); err != nil {
		return out, err
	}
	out.truth, err = TruthOf(p)
	return out, err
}

// each runs do(0) to do(n-1) on as many cores as there are. Each call writes to
// its own place only, so that the order of running cannot matter.
func each(n int, do func(int)) {
	var wg sync.WaitGroup
	turn := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i := range n {
		turn <- struct{}{}
		wg.Go(func() {
			do(i)
			<-turn
		})
	}
	wg.Wait()
}

// add appends a shell's facets.
func (s *Scanned) add(shell Shell, piece int32) {
	pts := make([][3]float32, len(shell.Points))
	for v, p := range shell.Points {
		pts[v] = single(p)
	}
	for f, t := range shell.Faces {
		s.Triangles = append(s.Triangles, [3][3]float32{pts[t[0]], pts[t[1]], pts[t[2]]})
		s.Piece = append(s.Piece, piece)
		s.Patch = append(s.Patch, shell.Patch[f])
	}
}

func single(p r3.Vec) [3]float32 { return [3]float32{float32(p.X), float32(p.Y), float32(p.Z)} }
