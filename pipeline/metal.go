package pipeline

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"sync"

	"golang.org/x/sync/errgroup"

	"pointup/mesh"
	"pointup/pipeline/fitup"
	"pointup/pipeline/rig"
	"pointup/pipeline/shop"
	"pointup/pipeline/stock"
)

// metal is what the pieces become: their stock, the assembly with its sizes, and
// what the workshop makes of it.
type metal struct {
	scan     []stock.Part // at full size, as fitted
	contacts []stock.Contact
	choice   stock.Choice
	assembly fitup.Assembly
	unsolved string // why the assembly could not be laid out again
	revised  []revised
	massKG   []float64
	whyNot   []string // why a mass is not known

	found    []stock.Found
	gauge    stock.Gauge
	readings []stock.Reading

	bodies []rig.Body
	joints []shop.WeldJoint
	orders []built
	loose  []int // parts that nothing joins to the ground
	lifts  []lifted

	plates []stock.Size // that may be bought
	list   shop.List
	nests  []shop.Nesting
	buy    []shop.Purchase
	welds  []shop.Weld
	cost   shop.Estimate
}

// toMetal chooses stock for all pieces and lays the assembly out again. Everything
// after it comes from the as-stock parts.
func (w *work) toMetal(ctx context.Context, scan string) error {
	m := &metal{contacts: w.contactsAtSite()}
	for i := range w.elements {
		m.scan = append(m.scan, w.partAtSite(&w.elements[i]))
	}
	relations := w.relationsAtSite()
	var beside errgroup.Group
	beside.Go(mesh.Guarded(func() error { return m.gaugeScale(w.tables.all, relations, w.scaled.Ratio) }))
	err := w.sizePieces(ctx, m, relations, scan)
	if err := cmp.Or(err, beside.Wait()); err != nil {
		return err
	}
	w.metal = m
	return nil
}

// build weighs the pieces, finds the order in which they are put together, and makes
// the cut list and what follows from it.
func (w *work) build(ctx context.Context) (err error) {
	m := w.metal
	if m.bodies, err = w.weighed(ctx); err != nil {
		return err
	}
	bodies := w.shopBodies(m.bodies)
	if m.joints, err = shop.Joints(m.assembly.Parts, bodies, shop.Thicknesses(len(m.scan), m.choice), m.assembly.Contacts, shop.DefaultJointOptions()); err != nil {
		return err
	}
	if err := m.planBuild(ctx, bodies, shop.ClassOf(w.job.Limits.Work)); err != nil {
		return err
	}
	marks := stock.Remark(m.assembly.Parts, m.choice.Families)
	m.list = shop.CutList(m.assembly.Parts, m.choice, marks, m.massKG)
	m.list.BuildUp(m.assembly.Parts, m.plates)
	m.nests = shop.Nest(m.list, w.job.Shop)
	m.buy = shop.Purchases(m.list, m.nests)
	m.welds = shop.Welds(m.joints, m.nests, m.list)
	m.cost = shop.Cost(m.list, m.buy, m.welds, w.job.Shop, m.choice, m.assembly.Parts)
	return nil
}

// sizePieces chooses stock for all pieces, lays the assembly out again with it and
// finds masses.
func (w *work) sizePieces(ctx context.Context, m *metal, relations []stock.Relation, scan string) error {
	cat, err := w.catalogue(scan)
	if err != nil {
		return AsInput(err)
	}
	m.plates = cat.Of("plate")
	cut, revised, err := w.freeze(m.scan, m.contacts, relations, cat)
	if err != nil {
		return err
	}
	m.revised = revised
	if m.choice, err = stock.Choose(stock.MeetEnds(cut, m.contacts), relations, cat, w.stockOptions()); err != nil {
		return AsInput(fmt.Errorf("stock: %w", err))
	}
	m.readings = stock.MeasureFirst(m.choice, m.scan, readingsMost)
	if err := m.layOut(ctx, stock.AsStock(cut, m.choice), relations, w.fitupOptions()); err != nil {
		return err
	}
	return m.weigh(w.job.Metal.Grade)
}

// published returns tables of stock, which are read while the scan is.
type published func() (stock.Catalogue, error)

// readTables begins to read the published tables of a system, and of every one.
func readTables(system string) (own, all published) {
	tables := sync.OnceValues(stock.ReadTables)
	of := func(system string) published {
		return sync.OnceValues(func() (stock.Catalogue, error) {
			t, err := tables()
			if err != nil {
				return stock.Catalogue{}, err
			}
			return t.System(system)
		})
	}
	own, all = of(system), of("both")
	for _, ask := range []published{own, all} {
		go mesh.Guarded(func() error { // an error is told to who asks for them
			_, err := ask()
			return err
		})()
	}
	return own, all
}

// readingsMost is how many caliper readings are asked for.
const readingsMost = 5

// gaugeScale takes the maquette's own metal, whatever system it was of, as a gauge
// of the scan's scale.
func (m *metal) gaugeScale(tables published, relations []stock.Relation, ratio float64) error {
	both, err := tables()
	if err != nil {
		return err
	}
	m.found = stock.FoundIn(m.scan, relations, ratio)
	m.gauge, err = stock.ScaleError(m.found, both, stock.DefaultGaugeOptions())
	return err
}

// built is the order in which one connected part of the work is put together, with
// what a fitter measures at each step.
type built struct {
	shop.Order
	pack    []shop.FitUp
	benched *benched
}

// benched is a build in units, with what a fitter measures on each bench and when
// they are set.
type benched struct {
	shop.Benched
	bench [][]shop.FitUp // of each unit; nil of a single part
	set   []shop.FitUp
}

// packed measures a build in units; nil for nil.
func (m *metal) packed(ctx context.Context, bodies []shop.Body, of *shop.Benched, opt shop.FitUpOptions) (*benched, error) {
	if of == nil {
		return nil, nil
	}
	out := &benched{Benched: *of}
	for _, u := range of.Units {
		var pack []shop.FitUp
		if len(u.Parts) > 1 {
			var err error
			if pack, err = shop.FitUpPack(ctx, m.assembly.Parts, bodies, u.Bench, opt); err != nil {
				return nil, err
			}
		}
		out.bench = append(out.bench, pack)
	}
	var err error
	out.set, err = shop.FitUpPack(ctx, m.assembly.Parts, bodies, of.Set, opt)
	return out, err
}

func (m *metal) planBuild(ctx context.Context, bodies []shop.Body, class string) error {
	if len(m.assembly.Parts) > shop.PartsMost {
		return nil
	}
	orders, left, err := shop.BuildOrder(ctx, m.assembly.Parts, bodies, m.joints, shop.DefaultOrderOptions())
	if err != nil {
		return err
	}
	m.loose = left
	opt := shop.DefaultFitUpOptions()
	opt.Class = class
	for _, o := range orders {
		if len(o.Best.Steps) < 2 {
			continue // it stands by itself
		}
		pack, err := shop.FitUpPack(ctx, m.assembly.Parts, bodies, o.Best, opt)
		if err != nil {
			return err
		}
		units, err := shop.Benches(ctx, m.assembly.Parts, bodies, m.joints, o, shop.DefaultOrderOptions())
		if err != nil {
			return err
		}
		in, err := m.packed(ctx, bodies, units, opt)
		if err != nil {
			return err
		}
		m.orders = append(m.orders, built{o, pack, in})
	}
	return nil
}

// catalogue is what the job's system sells, with the tables of the user.
func (w *work) catalogue(scan string) (stock.Catalogue, error) {
	cat, err := w.tables.own()
	if err != nil {
		return cat, err
	}
	for _, name := range w.job.Metal.Tables {
		f, err := os.Open(partPlace(w.job.Scan.File, scan, name))
		if err != nil {
			var at *os.PathError
			if errors.As(err, &at) {
				err = at.Err
			}
			return cat, fmt.Errorf("metal.tables: %s: %w; a table is named relative to the job file", name, err)
		}
		cat, err = cat.With(name, f)
		f.Close()
		if err != nil {
			return cat, err
		}
	}
	return cat, nil
}

func (w *work) stockOptions() stock.Options {
	opt := stock.DefaultOptions()
	opt.ChangeShare, opt.ChangeMM = w.job.Limits.StockChange.Share, w.job.Limits.StockChange.SizeMM
	opt.WallMinMM, opt.Grade, opt.Ban = w.job.Metal.WallMinMM, w.job.Metal.Grade, w.job.Metal.Ban
	return opt
}

// fitupOptions: contacts of the scan are told to its noise and edges.
func (w *work) fitupOptions() fitup.Options {
	opt := fitup.DefaultOptions()
	g := w.grain()
	opt.TouchMM = max(opt.CloseMM, w.scaled.Ratio*(4*g.NoiseMM+0.15*g.EdgeMM))
	return opt
}

// layOut solves for the assembly. Where that is not possible the sized parts stay
// where they were scanned, and the result says why.
func (m *metal) layOut(ctx context.Context, sized []stock.Part, relations []stock.Relation, opt fitup.Options) error {
	var err error
	m.assembly, err = fitup.Solve(ctx, m.scan, sized, m.contacts, relations, opt)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		m.assembly = fitup.Assembly{Parts: sized, Moves: make([]fitup.Move, len(sized)), Contacts: m.contacts, Datum: -1}
		m.unsolved = err.Error()
	}
	return nil
}

// weigh takes every as-stock part to its mass.
func (m *metal) weigh(grade string) error {
	material, err := stock.MaterialOf(grade)
	if err != nil {
		return AsInput(fmt.Errorf("metal.grade: %w", err))
	}
	m.massKG, m.whyNot = make([]float64, len(m.scan)), make([]string, len(m.scan))
	for _, pick := range m.choice.Families {
		for _, at := range pick.Members {
			kg, err := stock.MassKG(m.assembly.Parts[at], pick.Size, material.DensityKGM3)
			if err != nil {
				m.whyNot[at] = err.Error()
				continue
			}
			m.massKG[at] = kg
		}
	}
	return nil
}

// contactsAtSite are the contacts at full size.
func (w *work) contactsAtSite() []stock.Contact {
	k := w.scaled.Ratio
	var out []stock.Contact
	for _, c := range w.contacts {
		x := stock.Contact{A: c.A, B: c.B, Kind: c.Kind, LengthMM: k * c.LengthMM, AngleDeg: c.AngleDeg, GapMM: k * c.GapMM, Through: c.Through}
		for run, r := range c.Seam {
			for _, p := range r.Points {
				na, nb := outward(p.NormalA, p.NormalB), outward(p.NormalB, p.NormalA)
				x.Seam = append(x.Seam, stock.SeamAt{Run: run + 1, PointMM: w.scaled.SiteMM(p.AtMM), A: w.siteWay(na), B: w.siteWay(nb)})
			}
		}
		out = append(out, x)
	}
	return out
}

// relationsAtSite are the relations at full size.
func (w *work) relationsAtSite() []stock.Relation {
	var out []stock.Relation
	for _, r := range w.relations {
		x := stock.Relation{Kind: r.Kind, Of: r.Of, Parts: r.Bodies, To: r.To, Value: r.Value}
		if r.Of != "circle" || r.Kind != "equally_spaced" {
			x.Value *= w.scaled.Ratio
		}
		out = append(out, x)
	}
	return out
}
