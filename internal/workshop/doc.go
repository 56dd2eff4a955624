// Package workshop holds the use cases: record a card, learn a wax and its
// dyes, predict a shade, rescue a batch. Commands and page call these and hold
// no logic of their own.
//
// A use case takes what the maker gave as she gave it, asks the store for the
// rest, calls the pure packages, and returns everything there is to say.
package workshop
