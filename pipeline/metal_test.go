package pipeline

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh/synthetic"
	"pointup/pipeline/job"
	"pointup/pipeline/report"
	"pointup/pipeline/result"
	"pointup/pipeline/sheet"
	"pointup/pipeline/stock"
)

// stand is a foot, a post on it and an arm: 10 : 1.
func stand(t *testing.T) string {
	return scanned(t, func(float32) bool { return false },
		synthetic.Piece{Name: "foot", Shape: synthetic.Plate{Outline: synthetic.Rectangle(60, 40), ThicknessMM: 2.5}, Pose: synthetic.Upright(0, 0, 1.25)},
		synthetic.Piece{Name: "post", Shape: synthetic.Tube{OutsideDiameterMM: 11.43, InsideDiameterMM: 10.2, LengthMM: 80}, Pose: synthetic.Upright(0, 0, 42.5)},
		synthetic.Piece{Name: "arm", Shape: synthetic.Bar{OutsideDiameterMM: 5.08, LengthMM: 50}, Pose: synthetic.Upright(20, 0, 27.5)},
	)
}

func standing(t *testing.T, more string) (*work, error) {
	scan := stand(t)
	j, err := job.Parse("stand.yaml", []byte("job: 1\nscan: {file: few.stl, unit: mm}\nenlarge: {ratio: 10}\n"+more))
	require.NoError(t, err)
	return measure(context.Background(), j, scan, newKeeper("", "", true), nil)
}

func (w *work) familyOf(t *testing.T, name string) (stockMark string, at int) {
	for i := range w.elements {
		if w.elements[i].Kind == name {
			return w.metal.stockOf(i), i
		}
	}
	t.Fatalf("no %s was found", name)
	return "", -1
}

// ASME B36.10M: NPS 4 is 114.3 mm outside; AISC: bar of 2 in; the foot of 25 mm
// lies within 3 % of 1 in plate.
func TestStockOfAStand(t *testing.T) {
	w, err := standing(t, "")
	require.NoError(t, err)
	mark, _ := w.familyOf(t, "tube")
	assert.Regexp(t, "^(NPS 4|HSS4.500)", mark)
	foot, base := w.familyOf(t, "plate")
	assert.Equal(t, "PL 1 in", foot)
	assert.True(t, w.metal.assembly.Settled)
	for _, j := range w.metal.assembly.Joints {
		assert.InDelta(t, 0, j.GapMM, 0.05)
	}
	// The foot becomes 0.4 mm thicker and stays where it stood.
	bottom := func(p stock.Part) float64 {
		t, _ := p.Size("thickness_mm")
		return p.Frame.OriginMM.Z - t/2
	}
	assert.InDelta(t, bottom(w.metal.scan[base]), bottom(w.metal.assembly.Parts[base]), 0.05)
	d := w.document("test")
	assert.Zero(t, d.Stock.Missing)
	assert.Len(t, d.Stock.Parts, 3)
	assert.NotEmpty(t, d.Shop.CutList)
	assert.NotNil(t, d.Stock.Fidelity)
	assert.Greater(t, float64(d.Cost.Hours), 0.0)
}

// What the solids of the as-stock models hold times the density of steel is what
// the tables say that the pieces weigh: mills' masses are nominal to 1 %, and
// rounded corners are none here.
func TestStockSolidsWeighWhatTheTablesSay(t *testing.T) {
	w, err := standing(t, "")
	require.NoError(t, err)
	pieces, _ := w.solids(w.metal.assembly.Parts, false)
	require.Len(t, pieces, 3)
	for _, p := range pieces {
		v, ok := p.Shape.(interface{ VolumeMM3() float64 })
		require.True(t, ok)
		kg := v.VolumeMM3() * 7850e-9
		assert.InEpsilon(t, w.metal.massKG[w.indexOf(p.Mark)], kg, 0.01, p.Mark)
	}
}

// Stock that the job names is taken whatever its change; unknown stock is refused
// with the nearest; banned forms are not used; the user's table adds sizes.
func TestStockThatTheJobNames(t *testing.T) {
	row := "pieces: {rows: [{name: post, at: [5.7, 0, 42.5], stock: %}]}\n"
	w, err := standing(t, strings.Replace(row, "%", "NPS 4 Sch 80", 1))
	require.NoError(t, err)
	mark, _ := w.familyOf(t, "tube")
	assert.Equal(t, "NPS 4 Sch 80", mark)

	_, err = standing(t, strings.Replace(row, "%", "NPS 4 Sch 81", 1))
	var in *InputError
	require.ErrorAs(t, err, &in)
	assert.ErrorContains(t, err, `"NPS 4 Sch 81"`)
	assert.ErrorContains(t, err, "NPS 4 Sch 80")

	w, err = standing(t, "metal: {ban: [pipe]}\n")
	require.NoError(t, err)
	mark, _ = w.familyOf(t, "tube")
	assert.NotContains(t, mark, "NPS")
}

func TestTablesOfTheUser(t *testing.T) {
	scan := stand(t)
	dir := filepath.Dir(scan)
	run := func(table string) (*work, error) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "own.csv"), []byte(table), 0o644))
		j, err := job.Parse("stand.yaml", []byte("job: 1\nscan: {file: few.stl, unit: mm}\nenlarge: {ratio: 10}\nmetal: {tables: [own.csv]}\n"))
		require.NoError(t, err)
		return measure(context.Background(), j, scan, newKeeper("", "", true), nil)
	}
	_, err := run("form,mark\npipe\n")
	var in *InputError
	require.ErrorAs(t, err, &in)
	assert.ErrorContains(t, err, "own.csv")
	require.NoError(t, os.Remove(filepath.Join(dir, "own.csv")))
	j, err := job.Parse("stand.yaml", []byte("job: 1\nscan: {file: few.stl, unit: mm}\nenlarge: {ratio: 10}\nmetal: {tables: [own.csv]}\n"))
	require.NoError(t, err)
	_, err = measure(context.Background(), j, scan, newKeeper("", "", true), nil)
	require.ErrorAs(t, err, &in)
	assert.ErrorContains(t, err, "own.csv: no such file")
}

// The stand weighs what its pieces do, and its centre of gravity is that of boxes
// and tubes by hand.
func TestMassesAndJointsOfAStand(t *testing.T) {
	w, err := standing(t, "")
	require.NoError(t, err)
	d := w.document("test")
	require.NotNil(t, d.Rig)
	require.NotNil(t, d.Rig.Whole)
	sum, moment, net := 0.0, 0.0, 0.0
	for i, p := range w.metal.assembly.Parts {
		kg := float64(d.Rig.Pieces[i].MassKG)
		sum += kg
		net += w.metal.massKG[i]
		moment += kg * p.Frame.OriginMM.Z // straight, square pieces: the middle of the axis, of the plate's thickness
	}
	assert.InDelta(t, sum, float64(d.Rig.Whole.MassKG), 0.01)
	assert.InDelta(t, 1.04*net, sum, 0.01, "the middle of 3 to 5 % for welds")
	assert.InDelta(t, moment/sum, float64(d.Rig.Whole.CentreMM[2]), 2)
	require.Len(t, d.Joints, 2)
	for _, j := range d.Joints {
		assert.Equal(t, "fillet", j.Kind)
		require.NotNil(t, j.Hangs)
		assert.Greater(t, float64(j.LengthMM), 100.0)
	}
}

// The stand is built from its foot: two pieces on it, nothing overhead, nothing to
// prop, and every tape lies between a piece that stands and the new one.
func TestBuildOrderOfAStand(t *testing.T) {
	w, err := standing(t, "")
	require.NoError(t, err)
	o := w.document("test").Order
	require.NotNil(t, o)
	require.Len(t, o.Builds, 1)
	b := o.Builds[0]
	assert.True(t, b.Exact)
	_, foot := w.familyOf(t, "plate")
	assert.Equal(t, w.elements[foot].id, b.Steps[0].Element)
	assert.LessOrEqual(t, float64(b.Best.Hours), float64(b.Plain.Hours))
	stands := map[string]bool{}
	for k, s := range b.Steps {
		for _, tape := range s.Tapes {
			assert.True(t, stands[tape.From.Element])
			assert.Equal(t, s.Element, tape.To.Element)
		}
		if k > 0 {
			assert.GreaterOrEqual(t, len(s.Tapes), 4)
		}
		assert.Empty(t, s.Props)
		stands[s.Element] = true
	}
}

// Too heavy for hands is the foot alone or with what stands on it; a hoist of the job
// carries it, an envelope that is shorter than the post parts the work there.
func TestLiftsAndSectionsOfAStand(t *testing.T) {
	w, err := standing(t, "shop: {hoists: [{name: small, capacity: 500 kg}]}\nhaul: {envelope: [3 m, 2 m, 600 mm], mass: 1 t}\n")
	require.NoError(t, err)
	d := w.document("test")
	require.NotEmpty(t, d.Rig.Lifts)
	hung := 0
	for _, l := range d.Rig.Lifts {
		if l.WhyNot != "" {
			continue
		}
		hung++
		assert.Equal(t, "small", l.Hoist)
		pull := 0.0
		for _, g := range l.Legs {
			assert.GreaterOrEqual(t, float64(g.AngleDeg), 30.0)
			pull += float64(g.TensionN)
		}
		assert.Greater(t, pull, 0.9*9.80665*float64(l.LoadKG)/1.1)
	}
	assert.Positive(t, hung)
	require.NotNil(t, d.Sections)
	seen := map[string]bool{}
	for _, s := range d.Sections.Sections {
		assert.True(t, s.Fits)
		for _, id := range s.Elements {
			assert.False(t, seen[id])
			seen[id] = true
		}
	}
	assert.Len(t, seen, len(w.elements))
}

// Two hoists carry what one does not, each able to lift 1.20 times its share; what lies
// as it travels is turned up on its foot, shares adding up to the load; a straight gate
// takes the width of the section, a curve R - √(R² - (l/2)²) more.
func TestTandemTurnAndRouteOfAStand(t *testing.T) {
	w, err := standing(t, "shop: {hoists: [{name: big, capacity: 500 kg}]}\nhaul: {envelope: [9 m, 3 m, 3 m], mass: 5 t, route: [{width: 4 m}, {width: 4 m, radius: 9 m, slope: 10 %}]}\n")
	require.NoError(t, err)
	d := w.document("test")
	require.Len(t, d.Sections.Sections, 1)
	s := d.Sections.Sections[0]
	require.Len(t, s.Route, 2)
	assert.InDelta(t, float64(s.WidthMM), float64(*s.Route[0].SweptMinMM), 1e-3)
	r, half := 11000.0, float64(s.LengthMM)/2
	assert.InDelta(t, r-math.Sqrt(r*r-half*half)+float64(s.WidthMM), float64(*s.Route[1].SweptMinMM), 1e-2)
	assert.InDelta(t, math.Atan(0.1)*180/math.Pi, float64(*s.Route[1].SlopeDeg), 1e-3)
	require.NotEmpty(t, d.Rig.Turns)
	for _, x := range d.Rig.Turns {
		require.NotNil(t, x.Head, x.WhyNot)
		require.Len(t, x.Poses, turnSteps+1)
		for _, p := range x.Poses {
			assert.InDelta(t, 1.10, (float64(p.HeadKG)+float64(p.FootKG))/highKG(d, x.Of), 0.12, "more where the centre of gravity has a range")
			assert.LessOrEqual(t, float64(p.HeadKG), float64(x.HeadMostKG))
		}
		assert.NotEmpty(t, x.Cautions)
	}
	whole := w.metal.lifts[len(w.metal.lifts)-1]
	require.Equal(t, "whole", whole.of)
	kg := whole.lift.LoadKG
	w, err = standing(t, fmt.Sprintf("shop: {hoists: [{name: a, capacity: %.0f kg}, {name: b, capacity: %.0f kg}]}\n", 0.9*kg, 0.95*kg))
	require.NoError(t, err)
	lifts := w.document("test").Rig.Lifts
	l := lifts[len(lifts)-1]
	require.NotNil(t, l.Tandem, l.WhyNot)
	share := 0.0
	for _, h := range l.Tandem.Hoists {
		share += float64(h.ShareKG)
		assert.InDelta(t, 1.2*float64(h.ShareKG), float64(h.NeededKG), 1e-2)
		assert.LessOrEqual(t, float64(h.NeededKG), float64(h.CapacityKG))
	}
	assert.GreaterOrEqual(t, share, kg*(1-1e-6))
}

// highKG is the greatest mass of a load.
func highKG(d result.Document, of string) float64 {
	for _, p := range d.Rig.Pieces {
		if p.ID == of {
			return float64(p.HighKG)
		}
	}
	return float64(d.Rig.Whole.HighKG)
}

// With a wind in the job the stand is checked: in every combination without wind it
// presses on the ground with its factored weight, and the mast of 0.8 m is stiff.
func TestSiteCheckOfAStand(t *testing.T) {
	w, err := standing(t, "site: {wind: {code: EN 1991-1-4, speed: 25 m/s, speed_is: 10 min mean, exposure: II}, climbing_load: 0 N}\ngates: {utilisation: 1}\n")
	require.NoError(t, err)
	d := w.document("test")
	require.NotNil(t, d.Site)
	assert.Contains(t, d.Site.Preliminary, "licensed engineer")
	net := 0.0
	for _, kg := range w.metal.massKG {
		net += kg
	}
	assert.InEpsilon(t, net, d.Site.MassKG, 0.02)
	require.NotEmpty(t, d.Site.FrequenciesHz)
	assert.Greater(t, d.Site.FrequenciesHz[0], 1.0)
	require.NotEmpty(t, d.Site.Base)
	still := 0
	for _, b := range d.Site.Base {
		if b.Combination == "1.35 G + 1.5 Q" { // Q is 0 here
			still++
			assert.InEpsilon(t, 1.35*d.Site.MassKG*9.80665, b.DownN, 0.01)
		}
	}
	assert.Positive(t, still)
	require.NotNil(t, d.Access)
	require.Len(t, d.Gates, 1)
	assert.Equal(t, "utilisation", d.Gates[0].Name)
	none, err := standing(t, "")
	require.NoError(t, err)
	assert.Nil(t, none.document("test").Site)
}

// Every table of the workshop goes into the workbook and into CSV, with a row for
// each piece, joint and tape.
func TestTablesOfAStand(t *testing.T) {
	w, err := standing(t, "shop: {rates: {currency: EUR, hour: 60, steel_kg: 2, weld_kg: 5}}\n")
	require.NoError(t, err)
	d := w.document("test")
	tables := report.Sheets(d)
	_, err = sheet.XLSX("stand", tables)
	require.NoError(t, err)
	rows := map[string]int{}
	for _, x := range tables {
		_, err := sheet.CSV(x)
		require.NoError(t, err, x.Name)
		rows[x.Name] = len(x.Rows)
	}
	tapes := 0
	for _, s := range d.Order.Builds[0].Steps {
		tapes += len(s.Tapes)
	}
	assert.Equal(t, 3, rows["Pieces"])
	assert.Equal(t, 2, rows["Joints"])
	assert.Equal(t, 3, rows["Build order"])
	assert.Equal(t, tapes, rows["Tapes"])
	assert.Equal(t, 4, rows["Masses"], "all, and each piece")
	assert.Equal(t, len(d.Shop.CutList), rows["Cut list"])
}
