package result

import (
	"fmt"
	"math"
	"reflect"
)

// finite looks for a number that is NaN or infinite and names its place:
// Elements[2].Deviation.P95MM.
func finite(v any) error {
	if at, x, ok := finiteAt(reflect.ValueOf(v)); !ok {
		return fmt.Errorf("%s is %v, not a finite number", at, x)
	}
	return nil
}

// finiteAt gives the first number that is not finite, and its place within v.
func finiteAt(v reflect.Value) (at string, x float64, ok bool) {
	switch v.Kind() {
	case reflect.Float64:
		x := v.Float()
		return "", x, !math.IsNaN(x) && !math.IsInf(x, 0)
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			return finiteAt(v.Elem())
		}
	case reflect.Slice, reflect.Array:
		if v.Type().Elem().Kind() == reflect.Uint8 {
			break
		}
		for i := range v.Len() {
			if at, x, ok := finiteAt(v.Index(i)); !ok {
				return fmt.Sprintf("[%d]%s", i, at), x, false
			}
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			if at, x, ok := finiteAt(v.MapIndex(k)); !ok {
				return fmt.Sprintf("[%v]%s", k, at), x, false
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if at, x, ok := finiteAt(v.Field(i)); !ok {
				return "." + v.Type().Field(i).Name + at, x, false
			}
		}
	}
	return "", 0, true
}
