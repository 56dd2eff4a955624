// Setshade predicts the set shade of dyed wax from photographs of test drops.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"

	"setshade/internal/cli"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	os.Exit(cli.Run(ctx, cli.System(), os.Args[1:]))
}
