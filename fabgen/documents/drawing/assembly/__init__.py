"""The assembly drawing, balloons and weld symbols."""
