// Package swatches holds the demo's card photographs and their plans, and the
// shelf of the workshop they belong to.
//
// All of it is invented and rendered. Harrow Lane Wax is no workshop, its wax
// and dyes are no products, and the photographs were never taken: package scene
// computes the colour of every drop by radiative transfer from invented
// absorption spectra, and draws card, table and light around them. Each
// photograph NAME.jpg has its plan NAME.plan beside it. truth.csv holds the
// true colour of every drop, for tests; the demo does not have it.
//
// To render everything again: go generate ./swatches
package swatches

import "embed"

//go:generate go run ../internal/scene/generate

// Files holds every NAME.jpg with its NAME.plan.
//
//go:embed *.jpg *.plan
var Files embed.FS
