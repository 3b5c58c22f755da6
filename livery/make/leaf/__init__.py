"""What the gilder works from: masks for the size, tracings to pounce."""
