package primitive

import "fmt"

var Debug bool

func dbg(f string, a ...any) {
	if Debug {
		fmt.Printf(f, a...)
	}
}
