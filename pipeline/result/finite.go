package result

import (
	"fmt"
	"math"
	"reflect"
)

// finite looks for a number that is NaN or infinite and names its place:
// Elements[2].Deviation.P95MM.
func finite(v any) error { return finiteAt(reflect.ValueOf(v), "") }

func finiteAt(v reflect.Value, path string) error {
	switch v.Kind() {
	case reflect.Float64:
		if x := v.Float(); math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("%s is %v, not a finite number", path, x)
		}
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			return finiteAt(v.Elem(), path)
		}
	case reflect.Slice, reflect.Array:
		if v.Type().Elem().Kind() == reflect.Uint8 {
			return nil
		}
		for i := range v.Len() {
			if err := finiteAt(v.Index(i), fmt.Sprintf("%s[%d]", path, i)); err != nil {
				return err
			}
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			if err := finiteAt(v.MapIndex(k), fmt.Sprintf("%s[%v]", path, k)); err != nil {
				return err
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if err := finiteAt(v.Field(i), path+"."+v.Type().Field(i).Name); err != nil {
				return err
			}
		}
	}
	return nil
}
