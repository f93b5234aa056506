"""How results change with temperature."""
