// Setshade predicts the set shade of dyed wax from photographs of test drops.
package main

import (
	"context"
	"os"
	"os/signal"

	"setshade/internal/cli"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(cli.Run(ctx, cli.System(), os.Args[1:]))
}
