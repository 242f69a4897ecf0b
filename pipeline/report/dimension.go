package report

import (
	"strconv"

	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
)

// dimensions are the sizes of e that are one number or one word, at both scales
// and with their intervals.
func dimensions(doc result.Document, e result.Element) []dimension {
	var out []dimension
	for _, d := range e.Maquette {
		name, u := nameAndUnit(d.Key)
		switch v := d.Value.(type) {
		case result.Text:
			out = append(out, dimension{Key: d.Key, Name: name, Maquette: clean(string(v)), Full: clean(string(v)), MaquetteU95: noNumber, FullU95: noNumber, FeetInches: noNumber})
		case result.Count:
			if v == 0 { // no holes is not a size
				continue
			}
			n := strconv.Itoa(int(v))
			out = append(out, dimension{Key: d.Key, Name: name, Maquette: n, Full: n, MaquetteU95: noNumber, FullU95: noNumber, FeetInches: noNumber})
		case result.MM, result.MM2, result.MM3, result.Deg, result.Factor:
			out = append(out, measured(doc, e, d.Key, name, u))
		}
	}
	return out
}

// measured is a size with an interval. Lengths and their intervals grow with the
// ratio; angles and turns do not.
func measured(doc result.Document, e result.Element, key, name string, u unit) dimension {
	v, _ := e.Maquette.Number(key)
	full, ok := e.FullSize.Number(key)
	if !ok {
		full = v
	}
	u95, known := e.U95.Get(key)
	if !known {
		u95 = 0
	}
	k, ratio := 1.0, float64(doc.Scale.Ratio)
	switch u {
	case millimetre:
		k = ratio
	case squareMillimetre:
		k = ratio * ratio
	case cubicMillimetre:
		k = ratio * ratio * ratio
	}
	d := dimension{
		Key: key, Name: name, Maquette: value(v, u95, u, 2, maquetteDecimals), MaquetteU95: u95Text(u95, u, maquetteDecimals),
		Full: value(full, k*u95, u, 1, fullDecimals), FullU95: u95Text(k*u95, u, fullDecimals), FeetInches: noNumber,
	}
	if u == millimetre {
		d.FeetInches = quantity.FeetInches(full)
	}
	return d
}

// withInterval is a size and its interval in one cell: 21.34 ± 0.05 mm.
func (d dimension) withInterval() string {
	if d.MaquetteU95 == noNumber || d.MaquetteU95 == "" {
		return d.Maquette
	}
	for _, u := range []unit{millimetre, degree, squareMillimetre, cubicMillimetre} {
		tail := withUnit("", u)
		if n := len(d.Maquette) - len(tail); n > 0 && d.Maquette[n:] == tail {
			return d.Maquette[:n] + " ± " + d.MaquetteU95
		}
	}
	return d.Maquette + " ± " + d.MaquetteU95
}
