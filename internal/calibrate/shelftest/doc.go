// Package shelftest learns shelves of invented dyes for tests of what is asked of a
// model: searches, masses, intervals. Their drops are made with package optics, by the
// physics that calibrate itself assumes, so that they say nothing of how well a real
// dye is learned; package scene is for that.
package shelftest
