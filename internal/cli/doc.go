// Package cli is the command line: it reads arguments, calls the store and the
// use cases, and shows what comes back. It holds no logic of the trade.
//
// How a command runs:
//
//	main → Run(ctx, env, args) → New builds the tree of commands
//	     → the command checks its arguments before any work
//	     → it opens the store, does its one thing and closes the store
//	     → it shows the result on standard output, as text or with --json
//	     → an error comes back to Run, which says it and chooses the exit code
//
// Everything a command touches comes in through Env, so that tests run it in
// memory. Each command has a file of its own, named after it; those that waxes,
// dyes and moulds share (add, list, show, change, remove) are in shelf.go,
// and what is particular to each kind in wax.go, dye.go and mould.go.
//
// What is said, and where, keeps the rules of speech of package report.
package cli
