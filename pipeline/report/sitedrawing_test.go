package report

import (
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/pipeline/site"
)

// cantileverReport is a mast of two beams with a wind towards 90°, made up.
func cantileverReport() *site.Report {
	deg := 90.0
	w := site.Wind{Code: "EN 1991-1-4"}
	for k := range 36 {
		w.Towards = append(w.Towards, site.Direction{TowardsDeg: 10 * float64(k), SumMM2: []float64{1e6}, SilhouetteMM2: []float64{5e5}, MembersN: 1000, LatticeN: 800, ForceN: 1000, BaseMomentNMM: 2e6})
	}
	wire := site.Wire{NodesMM: [][3]float64{{0, 0, 0}, {0, 0, 2000}, {0, 0, 4000}}, Beams: []site.WireBeam{{A: 0, B: 1, ID: "E01"}, {A: 1, B: 2, ID: "E01"}}}
	wire.Cases = []site.WireCase{
		{Name: "own weight", ShiftMM: make([][3]float64, 3), BendingNMM: make([][2]float64, 2), Use: make([][2]float64, 2), Base: site.BaseForces{DownN: 5000}},
		{Name: "wind", TowardsDeg: &deg, ShiftMM: [][3]float64{{}, {0, 12, 0}, {0, 40, 0}}, BendingNMM: [][2]float64{{4e6, 1e6}, {1e6, 0}}, Use: [][2]float64{{1.2, 0.3}, {0.3, 0}},
			Base: site.BaseForces{ShearN: 1000, OverturnNMM: 4e6}},
	}
	return &site.Report{Wind: w, Wire: wire}
}

// Every drawing is whole XML without a number that is not one, says its unit and that it is
// preliminary; the words under the panels are those of the case.
func TestSiteDrawings(t *testing.T) {
	all := siteDrawings(cantileverReport())
	require.Len(t, all, 4)
	for _, d := range all {
		svg := string(d.SVG)
		dec := xml.NewDecoder(strings.NewReader(svg))
		for {
			_, err := dec.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			require.NoError(t, err)
		}
		assert.NotRegexp(t, regexp.MustCompile(`NaN|Inf`), svg)
		assert.Contains(t, d.Caption, "licensed engineer")
		assert.NotEmpty(t, d.Alt)
	}
	assert.Contains(t, string(all[0].SVG), "Force, kN")
	bent := string(all[1].SVG)
	for _, s := range []string{"down 5.0 kN, shear 0.0 kN", "shift to 40.0 mm, drawn × 10", "overturning 4.00 kNm", "wind, towards 90°"} {
		assert.Contains(t, bent, s)
	}
	assert.Contains(t, string(all[2].SVG), "greatest 4.00 kNm, in E01")
	assert.Contains(t, string(all[3].SVG), `stroke="#9a3d14" stroke-width="7.5"`, "over 100 % is red and thick: 0.3 + 6 × 1.2")
}

// A height of 4 m fills the panel's height between its margins, seen from 12° above.
func TestSiteDrawingsScale(t *testing.T) {
	f := newWireView(cantileverReport())
	_, low := f.node(0)
	_, high := f.node(2)
	assert.InDelta(t, panelTall-panelInset-panelText, low-high, 1e-9)
	assert.InDelta(t, 2, roundDown(4.99), 1e-12)
	assert.InDelta(t, 0.05, roundDown(0.0999), 1e-12)
}

func TestSiteSaysWhatTheRoadDoes(t *testing.T) {
	r := cantileverReport()
	r.Transport = site.Transport{Utilisation: 1.243, UtilisationOf: "E01–E03", Basis: "upright, held at its feet"}
	assert.Contains(t, strings.Join(sitePart(r).List, "\n"), "On the road: E01–E03 is used to 124 %, were the work to travel upright, held at its feet.")
}
