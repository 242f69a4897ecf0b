// Package shop is for the workshop: what is cut, from which bars and sheets, what
// is bought, and what hours and money it takes.
//
// Rules that are marked "common practice, no source" are such, and the job can
// set others.
package shop
