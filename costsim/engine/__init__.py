"""From a case and its weather to hourly numbers: lowering, the compiled kernel, and perfect foresight."""
