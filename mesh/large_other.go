//go:build !linux

package mesh

func adviseLarge([]byte) {}
