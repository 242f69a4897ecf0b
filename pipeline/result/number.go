// Package result is the document that a run writes, result.json, both ways, with
// its schema, the table elements.csv, the gates, and the folder that they go to.
package result

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"

	"pointup/pipeline/quantity"
)

// Numbers are written rounded, so that a digit that means nothing is not there;
// none is ever NaN, infinite or -0.
type (
	MM        float64 // a length in mm: 1e-4 mm
	MM2       float64 // an area in mm²: 1e-4 mm²
	MM3       float64 // a volume in mm³: 1e-4 mm³
	Deg       float64 // an angle in degrees: 1e-4°
	Direction float64 // a component of a unit vector: 1e-9
	Share     float64 // a fraction of 1: 1e-6
	Factor    float64 // a ratio, a count of turns, an element of a matrix: 1e-9
)

// Point is a place, in mm.
type Point [3]MM

// Vector is a direction of length 1.
type Vector [3]Direction

func (x MM) MarshalJSON() ([]byte, error)        { return number(float64(x), 4) }
func (x MM2) MarshalJSON() ([]byte, error)       { return number(float64(x), 4) }
func (x MM3) MarshalJSON() ([]byte, error)       { return number(float64(x), 4) }
func (x Deg) MarshalJSON() ([]byte, error)       { return number(float64(x), 4) }
func (x Direction) MarshalJSON() ([]byte, error) { return number(float64(x), 9) }
func (x Share) MarshalJSON() ([]byte, error)     { return number(float64(x), 6) }
func (x Factor) MarshalJSON() ([]byte, error)    { return number(float64(x), 9) }

// number writes x rounded to a number of decimals.
func number(x float64, decimals int) ([]byte, error) {
	return plain(quantity.Round(x, decimals))
}

// significant writes x rounded to a number of significant digits.
func significant(x float64, figures int) ([]byte, error) {
	return plain(quantity.RoundSignificant(x, figures))
}

// plain writes x with the fewest digits that read back as x.
func plain(x float64) ([]byte, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil, fmt.Errorf("the number is %v", x)
	}
	format := byte('f')
	if a := math.Abs(x); a != 0 && (a < 1e-6 || a >= 1e21) {
		format = 'e'
	}
	return strconv.AppendFloat(nil, x, format, -1, 64), nil
}

// List is a slice that is written as [] where it is nil.
type List[T any] []T

func (l List[T]) MarshalJSON() ([]byte, error) {
	if l == nil {
		return []byte("[]"), nil
	}
	return json.Marshal([]T(l))
}
