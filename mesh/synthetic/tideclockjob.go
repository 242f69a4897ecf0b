package synthetic

import (
	"fmt"
	"strings"
)

// TideClockFile is the scan's file name in the demo's job.
const TideClockFile = "tide-clock.stl"

const tideClockHead = `job: 1
piece: Tide Clock
scan: {file: tide-clock.stl, unit: mm, up: +z, ground: lowest}
enlarge: {ratio: 10}
# Read with a calliper on the maquette: held against the scan, never put in its place.
by_hand:
  - {piece: mast, dimension: outside_diameter, value: 18.02 mm, u95: 0.05 mm}
  - {piece: tide wheel, dimension: tip_diameter, value: 129.9 mm, u95: 0.2 mm}
  - {piece: float, dimension: section_diameter, value: 8.0 mm, u95: 0.05 mm}
metal: {system: metric, grade: EN 10025 S235JR, finish: hot-dip galvanised}
site: {wind: {code: EN 1991-1-4, speed: 25 m/s, speed_is: 10 min mean, exposure: II}, climbing_load: 2 kN, soil_bearing: 150 kPa, seismic: {coefficient: 0.05}, corrosivity: C4, life: 50 years, air: [-15 C, 35 C]}
haul: {envelope: [6 m, 2.4 m, 2.5 m], mass: 3 t, route: [{width: 4 m, radius: 9 m, slope: 6 %%}, {width: 3 m, radius: 7 m}]}
shop: {hoists: [{name: yard crane, capacity: 3.2 t}], rates: {currency: EUR, hour: 68, steel_kg: 1.7, weld_kg: 5}}
pieces:
  expected: %d
  rows:
`

// tideClockStock is what the site check asked for: with the walls of 5 mm that the scan
// shows, the mast and its weld on the base, and the davit's weld on the mast under a
// climber, are over what they may carry.
var tideClockStock = map[string]string{"mast": "CHS 177.8 x 8", "davit": "CHS 60.3 x 8"}

// TideClockJob returns the demo's job file.
func TideClockJob() (string, error) {
	scene := TideClock()
	marks, err := Marks(scene)
	if err != nil {
		return "", err
	}
	var out strings.Builder
	fmt.Fprintf(&out, tideClockHead, len(scene.Pieces))
	for i, p := range scene.Pieces {
		stock := ""
		if s := tideClockStock[p.Name]; s != "" {
			stock = ", stock: " + s
		}
		fmt.Fprintf(&out, "    - {name: %s, at: %s%s}\n", p.Name, point(marks[i]), stock)
	}
	return out.String(), nil
}
