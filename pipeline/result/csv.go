package result

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"

	"pointup/pipeline/quantity"
)

// dimensionColumns are the dimensions of one number or word, in the order of the
// table's columns; the unit is in the name.
func dimensionColumns() []string {
	return []string{
		"length_mm", "width_mm", "height_mm", "thickness_mm", "outside_diameter_mm", "inside_diameter_mm", "wall_mm", "diameter_mm",
		"large_diameter_mm", "small_diameter_mm", "centreline_diameter_mm", "section", "section_diameter_mm", "section_bore_mm", "sweep_deg",
		"pitch_mm", "turns", "hand", "tooth_count", "tip_diameter_mm", "root_diameter_mm", "bore_diameter_mm", "hole_count",
	}
}

// CSV writes elements.csv: a line of column names, then one row an element in the
// order of the document. Dimensions are full size, a column each, empty where an
// element has none. Stock and mass are empty where they are not known. Comma, point,
// line feed, UTF-8.
func CSV(d Document) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	header := append([]string{"id", "name", "kind"}, dimensionColumns()...)
	header = append(header, "stock", "mass_kg", "deviation_rms_mm", "deviation_mean_mm", "deviation_p95_mm", "deviation_max_mm", "deviation_within")
	rows := [][]string{header}
	for i, e := range d.Elements {
		var p Part
		if d.Stock != nil && i < len(d.Stock.Parts) {
			p = d.Stock.Parts[i]
		}
		row, err := csvRow(e, p)
		if err != nil {
			return nil, fmt.Errorf("result: csv: element %s: %w", e.ID, err)
		}
		rows = append(rows, row)
	}
	if err := w.WriteAll(rows); err != nil {
		return nil, fmt.Errorf("result: csv: %w", err)
	}
	return b.Bytes(), nil
}

func csvRow(e Element, p Part) ([]string, error) {
	row := []string{e.ID, e.Name, e.Kind}
	for _, key := range dimensionColumns() {
		cell, err := csvCell(e.FullSize.Get(key))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", key, err)
		}
		row = append(row, cell)
	}
	mass := ""
	if p.MassKG != nil {
		mass = quantity.Decimal(float64(*p.MassKG), 3)
	}
	row = append(row, p.Stock, mass)
	if e.Deviation == nil {
		return append(row, "", "", "", "", ""), nil
	}
	dev := e.Deviation
	for _, x := range []Value{dev.RMSMM, dev.MeanMM, dev.P95MM, dev.MaxMM} {
		cell, err := csvCell(x)
		if err != nil {
			return nil, fmt.Errorf("deviation: %w", err)
		}
		row = append(row, cell)
	}
	return append(row, quantity.Decimal(float64(dev.Within), 6)), nil
}

// csvCell prints one value as the document does.
func csvCell(v Value) (string, error) {
	x := 0.0
	decimals := 4
	switch t := v.(type) {
	case nil:
		return "", nil
	case Text:
		return string(t), nil
	case Count:
		return strconv.Itoa(int(t)), nil
	case MM:
		x = float64(t)
	case Deg:
		x = float64(t)
	case Factor:
		x, decimals = float64(t), 9
	default:
		return "", fmt.Errorf("%T does not go into one cell", v)
	}
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "", fmt.Errorf("the number is %v", x)
	}
	return quantity.Decimal(x, decimals), nil
}
