demo potted-into-garden-compost
