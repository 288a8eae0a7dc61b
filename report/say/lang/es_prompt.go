package lang

// prompt is what the sitting at the prompt and its forms say.
var prompt = map[string]string{}
