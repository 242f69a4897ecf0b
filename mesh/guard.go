package mesh

import "fmt"

// Fault is a panic of our own in work that runs beside the main goroutine: as an
// error it reaches the caller, where the panic would end the program.
type Fault struct{ Value any }

func (f *Fault) Error() string {
	return fmt.Sprintf("a fault of the program, not of your files: %v; please report it", f.Value)
}

// Guarded runs work and returns its panic as a *Fault. Whatever is handed to a
// goroutine goes through it.
func Guarded(work func() error) func() error {
	return func() (err error) {
		defer func() {
			switch p := recover().(type) {
			case nil:
			case *Fault: // of a goroutine further in
				err = p
			default:
				err = &Fault{p}
			}
		}()
		return work()
	}
}
