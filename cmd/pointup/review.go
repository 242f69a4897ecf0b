package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"time"

	"pointup/mesh"
	"pointup/pipeline"
	"pointup/pipeline/job"
	"pointup/pipeline/result"
	"pointup/pipeline/review"
)

type reviewCommand struct {
	Dir  string `arg:"" name:"dir" help:"Folder that a run has written."`
	Scan string `placeholder:"FILE" help:"The scan, where it lies neither in DIR nor in the folder above it."`
	Port int    `default:"0" placeholder:"N" help:"Port on the loopback address 127.0.0.1. Default: a free one."`
}

// Run serves the folder until it is interrupted.
func (c *reviewCommand) Run(s *session) error {
	if c.Port < 0 || c.Port > 65535 {
		return &pipeline.InputError{Err: fmt.Errorf("--port is %d; give 1 to 65535, or leave it out", c.Port)}
	}
	listener, err := net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", c.Port))
	if err != nil {
		return &pipeline.InputError{Err: fmt.Errorf("port %d cannot be had: %w; give another with --port, or none", c.Port, err)}
	}
	defer listener.Close()
	address := listener.Addr().String()
	room, err := review.New(s.ctx, c.Dir, address, func(ctx context.Context, tell mesh.Tell) error { return c.again(ctx, s, tell) })
	if err != nil {
		return &pipeline.InputError{Err: err}
	}
	defer room.Close()
	fmt.Fprintf(s.stdout, "http://%s%s\n", address, room.Path())
	fmt.Fprintf(s.stderr, "open this address in a browser of this machine; Ctrl-C ends it\n")
	return serve(s.ctx, listener, room)
}

// serve answers until ctx ends; that is not an error.
func serve(ctx context.Context, listener net.Listener, h http.Handler) error {
	server := &http.Server{Handler: h, ReadHeaderTimeout: 10 * time.Second, BaseContext: func(net.Listener) context.Context { return ctx }}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
		_ = server.Close()
		return nil
	}
}

// again runs the folder's job file into the folder, with the outputs that it has.
func (c *reviewCommand) again(ctx context.Context, s *session, tell mesh.Tell) error {
	j, scan, err := readJob(filepath.Join(c.Dir, job.OutName))
	if err != nil {
		return err
	}
	if c.Scan != "" {
		scan = c.Scan
	}
	if _, err := os.Stat(scan); errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("the scan %s is neither in the folder nor above it; start the review again with --scan FILE", j.Scan.File)
	}
	data, err := os.ReadFile(filepath.Join(c.Dir, "result.json"))
	if err != nil {
		return reason(err)
	}
	old, err := result.Decode(data)
	if err != nil {
		return err
	}
	_, err = pipeline.Run(ctx, j, scan, c.Dir, pipeline.Options{Version: version(), Build: build(), Outputs: pipeline.OutputsAmong(old.Files), Undo: s.undo.add}, tell)
	return err
}
