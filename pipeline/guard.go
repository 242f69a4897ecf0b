package pipeline

import "fmt"

// Fault is a panic of our own in work that runs beside the main goroutine: as an
// error it reaches the caller, where the panic would end the program.
type Fault struct{ Value any }

func (f *Fault) Error() string {
	return fmt.Sprintf("a fault of the program, not of your files: %v; please report it", f.Value)
}

// guarded runs work and returns its panic as a *Fault.
func guarded(work func() error) func() error {
	return func() (err error) {
		defer func() {
			if p := recover(); p != nil {
				err = &Fault{p}
			}
		}()
		return work()
	}
}
