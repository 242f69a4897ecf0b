package stock

import (
	"fmt"
	"math"
	"slices"
	"strconv"
)

// sizes reads what the form needs and refuses what it does not have.
func (o *own) sizes(s *Size, cell map[string]string) error {
	at := map[string]*float64{"od": &s.ODMM, "wall": &s.WallMM, "height": &s.HeightMM, "width": &s.WidthMM, "thickness": &s.ThicknessMM}
	need := ownSizes[s.Form]
	for _, name := range []string{"od", "wall", "height", "width", "thickness"} {
		mm, in := cell[name+"_mm"], cell[name+"_in"]
		switch needed := slices.Contains(need, name); {
		case !needed && mm+in != "":
			return o.wrong(name, "a "+s.Form+" has no such size", "leave the cell empty")
		case !needed:
			continue
		case mm != "" && in != "":
			return o.wrong(name, "the size stands in mm and in inches", "leave one of them")
		case mm == "" && in == "":
			return o.wrong(name+"_mm", "a "+s.Form+" needs this size", "write mm, or inches in "+name+"_in")
		}
		x, err := o.length(name, mm, in)
		if err != nil {
			return err
		}
		*at[name] = x
	}
	if s.Form == "square" {
		s.HeightMM = s.WidthMM
	}
	s.WallDesignMM = s.WallMM
	return o.sound(s)
}

// length reads mm, or inches as a decimal number or a fraction.
func (o *own) length(name, mm, in string) (float64, error) {
	column, text, unit := name+"_mm", mm, 1.0
	if in != "" {
		column, text, unit = name+"_in", in, inchMM
	}
	x, used := markNumber(text)
	if used != len(text) || !(x*unit >= 0.01 && x*unit <= 10_000) {
		return 0, o.wrong(column, fmt.Sprintf("%q is not a size", clip(text)), "write a number over 0.01 mm and under 10 m, as 6.3 in mm or 1/4 in inches")
	}
	return x * unit, nil
}

// sound refuses sections that cannot be, and orders height before width.
func (o *own) sound(s *Size) error {
	if s.Form == "box" || s.Form == "angle" {
		s.HeightMM, s.WidthMM = max(s.HeightMM, s.WidthMM), min(s.HeightMM, s.WidthMM)
	}
	least := s.ODMM
	if s.Form == "box" {
		least = s.WidthMM
	}
	if s.WallMM > 0 && 2*s.WallMM >= least {
		return o.wrong("wall", fmt.Sprintf("two walls of %s mm leave no bore in %s mm", plain(s.WallMM), plain(least)), "check wall and outside size, or write the form round")
	}
	if s.Form == "angle" && s.ThicknessMM >= s.WidthMM {
		return o.wrong("thickness", "the leg is not longer than it is thick", "check legs and thickness")
	}
	return nil
}

// mass reads the mass or computes that of steel; one that differs from steel's by
// more than twice is a wrong unit.
func (o *own) mass(s *Size, cell map[string]string) error {
	steel, column, other, at := s.areaMM2()*steelKGM3*1e-6, "mass_kg_per_m", "mass_kg_per_m2", &s.MassKGM
	if s.Form == "plate" || s.Form == "sheet" {
		steel, column, other, at = s.ThicknessMM*steelKGM3*1e-3, other, column, &s.MassKGM2
	}
	if cell[other] != "" {
		return o.wrong(other, "the mass of a "+s.Form+" stands in "+column, "move it there")
	}
	*at = steel
	if cell[column] == "" {
		return nil
	}
	x, err := strconv.ParseFloat(cell[column], 64)
	if err != nil || math.IsNaN(x) || x < steel/8 || x > steel*2 {
		return o.wrong(column, fmt.Sprintf("%q is not the mass of these sizes, which in steel is %s kg", clip(cell[column]), plain(steel)), "write kg, or leave the cell empty")
	}
	*at = x
	return nil
}
