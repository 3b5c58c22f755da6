"""Letters from fonts: shaping, setting, effects, outlines as cut and stencils.

Everything here works on fonts and outlines alone and knows nothing of how a
livery is described.
"""
