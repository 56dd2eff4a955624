// Package photo turns a photograph of test drops on white card into colours.
//
// A camera records light, not colour: a drop under a lamp looks as the lamp
// makes it. What can be trusted is the comparison of a drop with the bare card
// beside it, in the same picture, under the same light. The whole package is
// that comparison, done with care:
//
//  1. decode: JPEG, PNG, TIFF and HEIC, limits checked before a pixel is
//     unpacked; the orientation and the colour profile are read from the file's
//     own segments
//  2. linear light: code values become amounts of light by the file's ICC profile
//     (matrix and curves; sRGB when there is none, and that is said), averaged in
//     boxes down to about a megapixel. Colours beyond sRGB are kept
//  3. card: the bright, even region, its four sides and corners
//  4. flatten: a smooth surface fitted to bare card says how bright card white
//     would be at each pixel; dividing by it leaves the reflectance relative
//     to the card, free of uneven and coloured light
//  5. drops: what differs from card white in its chromaticity, or is much
//     darker. A shadow is the same chromaticity, only darker
//  6. order: rows along the card's own axes, left to right
//  7. colour: a drop is a dome, thin at its rim and shining where the lamp
//     mirrors in it. A small surface is fitted to its middle with highlights
//     left out, and read at the centre
//
// What was read where is drawn by Reading.Overlay. A picture that cannot be
// trusted is refused with a Refusal: one sentence on what is wrong and one on
// what to do; the partial Reading returned beside it still draws an overlay
// when the picture could be decoded.
//
// Limits: no colour chart is used, so the camera is taken to be an sRGB
// camera whose white balance the card corrects; touching drops are noted, not
// split; a drop whose chromaticity is the card's to within the noise, and which
// is not much darker, is not told from a shadow.
package photo
