// Package picturetest writes picture files for tests, as cameras and other programs
// write them: with a colour profile, an orientation, or as TIFF, for which Go has no
// writer of these. It follows the standards on its own and knows nothing of the
// reader it tests.
package picturetest
