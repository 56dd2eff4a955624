// Package iccprofile writes colour profiles of the matrix and curve kind, for pictures
// that are rendered or made for tests: the bodies of tags, and a profile of them. It
// follows ICC.1:2022 (profile version 4.4) by itself, and knows nothing of the reader
// in package picture.
package iccprofile
