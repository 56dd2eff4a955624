// Package picturetest writes picture files for tests as cameras and other programs
// write them: with a colour profile, an orientation, or as TIFF, none of which the
// encoders of Go write. It follows the standards by itself and knows nothing of the
// reader it tests.
package picturetest
