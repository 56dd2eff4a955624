// Package picture turns a picture file into linear light.
//
// A camera writes code values, which are no amounts of light: they are bent, so that
// few bits go far, and they count in a red, green and blue that the file names. What
// is measured in a photograph is measured in light, so that this comes first:
//
//  1. the kind of file is told by its first bytes: JPEG, PNG, TIFF or HEIC. Its header
//     gives size and kind of colour, and limits are checked before a pixel is unpacked
//     (decode, and a file for each format)
//  2. metadata: the file's own segments are walked for the orientation (exif) and
//     for the colours, told by an ICC profile (icc) or by name
//  3. linear: code values become light by the curves of that colour space and are
//     averaged in square boxes down to about a megapixel. Light is averaged, not code
//     values. Light is then given in sRGB's primaries; what sRGB cannot show has
//     negative amounts and is kept
//  4. orientation: the picture is turned upright
//
// Open does all of it. What comes out is a Picture: a plane of light for each
// channel, and for each pixel how much of it was cut off at the top or at zero. Code
// remembers how the file rounded its colours, since over an even area compression
// takes the noise away that would average rounding out (rounding). Chroma says between
// which bounds the colour of each block of a JPEG lay before.
//
// A file that cannot be used gives a Refusal: one sentence on what is wrong, one on
// what to do. Those who read drops off pictures refuse in the same words.
//
// Limits: profiles made of tables are not read, and AVIF, CMYK and black-and-white
// pictures are refused.
package picture
