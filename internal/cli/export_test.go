package cli

// Answered refuses an answer in JSON that is not what setshade help json tells.
var Answered = answered
