"""What a site asks of a binder: extremes of weather, pavement temperature, reliability and traffic."""
